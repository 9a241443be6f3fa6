"""The command that plans changes."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli import changing as c
from partcheck.cli import completing
from partcheck.cli.answering import answered
from partcheck.cli.app import Answer, AsJson, Board, CatalogAt, Force, Html, Markdown, PartsFrom, PolicyName, app
from partcheck.cli.pages import refuse_targets

if TYPE_CHECKING:
    from partcheck.jobs.plan.plan import Planned
    from partcheck.report.document import Document

MayLoad = Annotated[
    str | None,
    typer.Argument(
        metavar="LOAD",
        help="Name of the load of which something is changed.",
        show_default=False,
        autocompletion=completing.loads,
    ),
]
WriteTo = Annotated[Path | None, typer.Option("--write", metavar="FILE", help="Write the planned board to this file.")]
EXIT_CODES = {"meets": 0, "plan": 0, "none": 1, "unproven": 3, "undecided": 3}
"""By how the search ended."""


@app.command(short_help="Find the fewest changes with which the whole board meets.")
def plan(
    board: Board,
    load: MayLoad = None,
    voltage: c.Voltage = None,
    current: c.Current = None,
    resistance: c.Resistance = None,
    inductance: c.Inductance = None,
    count: c.Count = None,
    at_once: c.AtOnce = None,
    duty: c.Duty = None,
    frequency: c.Frequency = None,
    cable_length: c.CableLength = None,
    wire: c.Wire = None,
    sets: c.Sets = None,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    write: WriteTo = None,
    force: Force = False,
    as_json: AsJson = False,
    html: Html = None,
    markdown: Markdown = None,
) -> Answer:
    """Find the smallest set of part and resistor changes with which the whole board meets.

    With a load and changes to it, for the board as changed. Exits with 0 if there is a plan or nothing has to
    change, 1 if there is none, 3 if only unproven values stand in the way or the search ended undecided.
    """
    from partcheck.errors import UsageError
    from partcheck.jobs.change.options import Asked
    from partcheck.jobs.judge.setup import open_setup
    from partcheck.jobs.plan.plan import plan as find

    refuse_targets(board, parts, catalog, policy, force, html, markdown, write)
    setup = open_setup(board, parts or [], catalog, policy)
    asked = Asked(
        voltage, current, resistance, inductance, count, at_once, duty, frequency, cable_length, wire, tuple(sets or [])
    )
    if load is None and asked != Asked():
        raise UsageError("a change needs the load that it is about; name it after the board file, as LOAD")
    planned = find(setup, setup.load(load) if load is not None else "", asked)
    written = _written(planned, write) if write is not None else ""

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.plan import document as answer

        return answer.document(planned, pictures, written=written)

    def record() -> object:
        from partcheck.report.answers.plan.record import record

        return record(planned)

    made = answered(document, record, EXIT_CODES[planned.outcome], as_json=as_json, html=html, markdown=markdown)
    return made._replace(notes=(written, *made.notes)) if as_json and written else made


def _written(planned: "Planned", path: Path) -> str:
    """Write the planned board, if there is one; the sentence that says so."""
    from partcheck.jobs.plan.writing import write_plan

    if planned.found.options is None:
        return f"{path} was not written, as there is no plan."
    return write_plan(planned, path)
