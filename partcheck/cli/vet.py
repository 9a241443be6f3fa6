"""The command that vets a load."""

from typing import TYPE_CHECKING

from partcheck.cli import changing as c
from partcheck.cli.answering import answered
from partcheck.cli.app import (
    Answer,
    AsJson,
    Board,
    CatalogAt,
    Force,
    Html,
    Markdown,
    NoCures,
    PartsFrom,
    PolicyName,
    app,
)
from partcheck.cli.pages import refuse_targets

if TYPE_CHECKING:
    from partcheck.report.document import Document


@app.command(short_help="Judge a heavier or higher-voltage load before it is connected.")
def vet(
    board: Board,
    load: c.Load,
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
    as_json: AsJson = False,
    no_cures: NoCures = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Judge a load with what is changed about it: its current path link by link, and what gives way first.

    Without a change it shows the path as it is. Exits with 0 if the whole board as changed meets or is tight, 1 if
    something fails, 3 if nothing fails but something is unproven.
    """
    from partcheck.cli.codes import exit_code
    from partcheck.jobs.change.options import Asked
    from partcheck.jobs.judge.setup import open_setup
    from partcheck.jobs.vet.vet import vet as judge

    refuse_targets(board, parts, catalog, policy, force, html, markdown)
    setup = open_setup(board, parts or [], catalog, policy)
    asked = Asked(
        voltage, current, resistance, inductance, count, at_once, duty, frequency, cable_length, wire, tuple(sets or [])
    )
    vetted = judge(setup, setup.load(load), asked, not no_cures)
    code = exit_code(vetted.verdict)

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.vet import document as answer

        return answer.document(vetted, pictures)

    def record() -> object:
        from partcheck.report.answers.vet.record import record

        return record(vetted)

    return answered(document, record, code, as_json=as_json, html=html, markdown=markdown)
