"""The command for the light of an indicator LED, and the resistor for equal or wanted light."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli import completing
from partcheck.cli.answering import answered
from partcheck.cli.app import (
    Answer,
    AsJson,
    Board,
    CatalogAt,
    Force,
    Html,
    Markdown,
    PartsFrom,
    PolicyName,
    Reference,
    app,
)
from partcheck.cli.pages import refuse_targets

if TYPE_CHECKING:
    from partcheck.jobs.judge.setup import Setup
    from partcheck.jobs.light.wanted import WantedLight
    from partcheck.report.document import Document

Files = tuple[Path | None, Path | None]
LedName = Annotated[
    str | None,
    typer.Argument(
        metavar="PART",
        help="An LED, or MAKER:PART; if left out, every known LED, ranked.",
        show_default=False,
        autocompletion=completing.parts,
    ),
]


@app.command(short_help="Another LED: how bright it is, and with which resistor.")
def brightness(
    board: Board,
    ref: Reference,
    part: LedName = None,
    target: Annotated[str | None, typer.Option(help='Wanted luminous intensity of one LED, such as "5 mcd".')] = None,
    ratio: Annotated[str | None, typer.Option(help="Wanted light relative to the fitted LED, such as 0.5.")] = None,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    most: Annotated[int, typer.Option(help="Without PART: how many LEDs to judge in full.", min=1, max=1000)] = 8,
    as_json: AsJson = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="Without PART: the ranking as CSV.")] = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Compare an LED's light with the fitted one's, and find the resistor for equal or wanted light.

    With PART it exits by the verdict of the recommended circuit; without, with 0 if an LED meets or is tight, 3 if the
    best is unproven, 1 if there is none.
    """
    from partcheck.cli.codes import exit_code, refuse_both
    from partcheck.errors import UsageError
    from partcheck.jobs.judge.setup import open_setup
    from partcheck.jobs.light.brightness import brightness as compare
    from partcheck.jobs.light.wanted import read_wanted

    refuse_both(as_json, as_csv)
    if as_csv and part is not None:
        raise UsageError("--csv is the ranking of all LEDs; leave PART out, or ask for --json")
    refuse_targets(board, parts, catalog, policy, force, html, markdown)
    wanted = read_wanted(target, ratio)
    setup = open_setup(board, parts or [], catalog, policy)
    place = setup.reference(ref)
    if part is None:
        form = "json" if as_json else "csv" if as_csv else "text"
        return _ranked(setup, place, wanted, most, form, (html, markdown))
    found = compare(setup, place, setup.part(place, part), wanted)
    code = exit_code(found.verdict)

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.brightness import document as answer

        return answer.document(found, pictures)

    def record() -> object:
        from partcheck.report.answers.brightness.record import record

        return record(found)

    return answered(document, record, code, as_json=as_json, html=html, markdown=markdown)


def _ranked(setup: "Setup", place: str, wanted: "WantedLight", most: int, form: str, files: Files) -> Answer:
    from partcheck.cli.codes import exit_code
    from partcheck.jobs.light.ranking import rank_brightness

    found = rank_brightness(setup, place, wanted, most)
    html, markdown = files

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.leds import document as answer

        return answer.document(found, pictures)

    def record() -> object:
        from partcheck.report.answers.leds.record import record

        return record(found)

    def table() -> str:
        from partcheck.report.answers.leds import sheet as leds_sheet

        return leds_sheet.text(found)

    return answered(
        document,
        record,
        exit_code(found.verdict),
        as_json=form == "json",
        as_csv=table if form == "csv" else None,
        html=html,
        markdown=markdown,
    )
