"""The answer to an explanation: one part in one place in full."""

from datetime import date

from partcheck.jobs.check.part import Explained
from partcheck.physics.preferred import series_values
from partcheck.report import document as d
from partcheck.report.answers import common, drawn, heads
from partcheck.report.answers import phrases as say
from partcheck.requirement import Verdict
from partcheck.units import show


def document(explained: Explained, pictures: bool = False, made_on: date | None = None) -> d.Document:
    """One part in one place, for a person: every requirement, worst first."""
    judged = explained.judged
    help_ = explained.remedies if judged.verdict < Verdict.TIGHT else None
    name = judged.part.name if judged.part is not None else "no part"
    full = tuple(common.in_full(f, judged.ref, help_) for f in common.findings_worst_first(judged.findings))
    return d.Document(
        "explain",
        d.line(d.Name(name), " as ", d.Name(judged.ref), ", ", say.in_sentence(judged.role.title)),
        (*common.identity(explained.setup), *_stated(explained)),
        d.present(
            heads.one_place(judged, help_),
            d.section("The place", *drawn.place(explained.situation, judged)) if pictures else None,
            d.section(
                "Requirements, worst first",
                *(_bars(explained, name) if pictures else ()),
                common.requirement_table(judged, claims=False),
                common.not_asked([judged], judged.ref),
            ),
            d.section("Worth knowing", _results(explained), *_preferred(explained)),
            d.section("In full", *full),
            *common.underneath(judged),
            common.not_judged(explained.not_judged, elsewhere=True),
            common.cautions(explained.cautions),
            common.policy(explained.setup),
        ),
        tuple(explained.setup.notes),
        common.today(made_on),
    )


def _bars(explained: Explained, name: str) -> tuple[d.Picture, ...]:
    from partcheck.report.html.pictures import headroom

    judged = explained.judged
    return drawn.blocks([headroom.bars(f"{name} as {judged.ref}", judged.findings)])


def _stated(explained: Explained) -> tuple[tuple[str, d.Line], ...]:
    """Where the board file states the place: its line, and those of a range or of another that it is like."""
    file = explained.setup.board_file
    found = file.stated_at("role", explained.judged.ref)
    words = ", ".join(f"{file.path.name}:{line} [{table}]" for line, table in found)
    return (("Stated at", (d.Name(words),)),) if found else ()


def _results(explained: Explained) -> d.Table | None:
    """What the role tells besides its requirements."""
    judged = explained.judged
    rows = []
    for step in judged.results:
        named = judged.role.named(step.name)
        value = d.amount(step.value, step.unit)
        cells = ((d.Id(step.name),), (value,), (named.meaning if named is not None else "",))
        rows.append(d.Row(cells, {"result": step.name}))
    columns = (d.Column("value"), d.Column("is", "r", right=True), d.Column("what it is"))
    return d.Table("Operating points and windows", columns, tuple(rows)) if rows else None


def _preferred(explained: Explained) -> tuple[d.Block, ...]:
    """The preferred values inside a resistor window."""
    ends = {step.name: step.value for step in explained.judged.results}
    least, largest = ends.get("base_resistor_least"), ends.get("base_resistor_largest")
    if least is None or largest is None:
        return ()
    board = explained.setup.board_file.board
    spread = board.replacement_resistor.tolerance
    values = series_values(board.series, least, largest)
    fit = [v for v in values if v * (1 - spread) >= least and v * (1 + spread) <= largest]
    if not fit:
        return (d.Paragraph((f"No value of {board.series} lies in the window of the base resistor.",)),)
    words = f"Base resistor, {board.series}: {show(fit[-1], 'Ω')} saves most current, down to {show(fit[0], 'Ω')}"
    return (d.Paragraph((f"{words}; {say.counted(len(fit), 'preferred value')} in all.",)),)
