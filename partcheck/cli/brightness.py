"""The command for the light of an indicator LED, and the resistor for equal or wanted light."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

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
from partcheck.cli.pages import refuse_targets, with_pages

if TYPE_CHECKING:
    from partcheck.jobs.judge.setup import Setup
    from partcheck.jobs.light.brightness import Wanted

Files = tuple[Path | None, Path | None]
LedName = Annotated[
    str | None,
    typer.Argument(
        metavar="PART", help="An LED, or MAKER:PART; left out: every known LED, ranked.", show_default=False
    ),
]


@app.command()
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

    With PART ends by the verdict of the recommended circuit; without, 0 if an LED meets or is tight, 3 if the
    best is unproven, 1 if there is none.
    """
    from partcheck.cli.codes import exit_code, refuse_both
    from partcheck.errors import UsageError
    from partcheck.jobs.judge.setup import open_setup
    from partcheck.jobs.light.brightness import brightness as compare
    from partcheck.jobs.light.brightness import read_wanted

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

    def page() -> str:
        from partcheck.report.html import brightness as pages

        return pages.page(found)

    def log() -> str:
        from partcheck.report.markdown_whole import brightened

        return brightened(found)

    if as_json:
        from partcheck.report import records

        return with_pages(Answer(records.to_text(records.brightened(found)), code), html, markdown, page, log)
    from partcheck.report import brightness as report

    return with_pages(Answer(report.text(found), code), html, markdown, page, log)


def _ranked(setup: "Setup", place: str, wanted: "Wanted", most: int, form: str, files: Files) -> Answer:
    from partcheck.cli.codes import exit_code
    from partcheck.jobs.light.ranking import rank_brightness

    found = rank_brightness(setup, place, wanted, most)
    code = exit_code(found.verdict)

    def page() -> str:
        from partcheck.report.html import brightness as pages

        return pages.ranked_page(found)

    def log() -> str:
        from partcheck.report.markdown_whole import brightness_ranked

        return brightness_ranked(found)

    if form == "json":
        from partcheck.report import records

        return with_pages(Answer(records.to_text(records.brightness_ranked(found)), code), *files, page, log)
    from partcheck.report import brightness_ranked as report

    text = report.csv_text(found) if form == "csv" else report.text(found)
    return with_pages(Answer(text, code), *files, page, log)
