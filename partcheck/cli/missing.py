"""The command that says what to look up for a board, and enters it."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli.answering import answered
from partcheck.cli.app import Answer, AsJson, Board, CatalogAt, Force, Html, Markdown, PartsFrom, PolicyName, app
from partcheck.cli.pages import refuse_targets

if TYPE_CHECKING:
    from partcheck.catalog import Catalog
    from partcheck.jobs.missing.missing import Gap
    from partcheck.report.document import Document


@app.command(short_help="List the values to look up so that the board is proved.")
def missing(
    board: Board,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    fill: Annotated[bool, typer.Option("--fill", help="Ask for each value and enter it in the catalog.")] = False,
    as_json: AsJson = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """List what to look up so that the board is proved: value, condition, how large; first what settles most.

    Exits with the code of `check`: 0 if all meet or are tight, 1 if one fails, 3 if none fails but one is unproven.
    """
    from partcheck.cli.codes import exit_code
    from partcheck.jobs.judge.setup import open_setup
    from partcheck.jobs.missing.missing import missing as find

    refuse_targets(board, parts, catalog, policy, force, html, markdown)
    found = find(open_setup(board, parts or [], catalog, policy))
    if fill and found.gaps:
        _fill(found.gaps, [board], catalog)
        found = find(open_setup(board, parts or [], catalog, policy))

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.missing import document as answer

        return answer.document(found, pictures)

    def record() -> object:
        from partcheck.report.answers.missing.record import record

        return record(found)

    return answered(document, record, exit_code(found.checked.verdict), as_json=as_json, html=html, markdown=markdown)


def _fill(gaps: "tuple[Gap, ...]", boards: list[Path], catalog: str | None) -> None:
    """Ask for the values of each part that the catalog has, in the order of what settles most."""
    from partcheck.catalog import open_catalog
    from partcheck.cli.asking import whoever
    from partcheck.cli.catalog.form.screen import say
    from partcheck.errors import UsageError

    by_part: dict[tuple[str, str], list[Gap]] = {}
    for gap in gaps:
        if gap.part is not None:
            by_part.setdefault((gap.part.maker, gap.part.part_number), []).append(gap)
    who = whoever(None)
    entered = 0
    with open_catalog(catalog) as opened:
        for (maker, number), wanted in by_part.items():
            if not any(part.part_number == number for part in opened.named(wanted[0].part.kind, number, maker)):  # type: ignore[union-attr]
                say(f"{number} ({maker}) is not in {opened.where}: enter its values where the board has them from.")
                continue
            entered += 1
            say(f"{number} ({maker}): {len(wanted)} to look up.")
            print(_of_part(opened, number, maker, wanted, boards, catalog, who).text)
    if not entered:
        raise UsageError("none of the parts that lack a value is in the catalog; import or add them first")


def _of_part(
    opened: "Catalog", number: str, maker: str, wanted: "list[Gap]", boards: list[Path], catalog: str | None, who: str
) -> Answer:
    from partcheck.cli.catalog.entering import begin, finish
    from partcheck.cli.catalog.form import Dialog
    from partcheck.cli.catalog.form.screen import Back, Finish, say
    from partcheck.jobs.entry.drafts import key_of
    from partcheck.jobs.missing.missing import base_name
    from partcheck.parts.entry import Entry

    now = opened.part(number, maker)
    draft = begin(catalog, key_of("edit", now.kind, now.maker, now.part_number), who, lambda: Entry.of(now))
    dialog = Dialog(draft, opened, False)

    def ask() -> None:
        for gap in wanted:
            say(f"{gap.words}; usually under: {gap.page}.")
            first = gap.name.split(" ")[0]
            try:
                dialog.take(first if first not in dialog.tables else base_name(now.kind, first))
            except (Back, Finish):
                continue
            draft.keep()

    return finish(dialog, f"edit {maker}:{number}", boards, catalog, ask)
