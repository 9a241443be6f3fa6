"""The answer to a check: the board as fitted."""

from datetime import date

from partcheck.jobs.check.board import Checked
from partcheck.report import document as d
from partcheck.report.answers import common, drawn
from partcheck.report.answers import phrases as say
from partcheck.report.answers.heads import whole_board
from partcheck.requirement import Verdict


def document(checked: Checked, pictures: bool = False, made_on: date | None = None) -> d.Document:
    """The board as fitted, for a person; ``pictures`` are drawn where a page is wanted."""
    everything = (*checked.places, *checked.links)
    help_ = checked.remedies if checked.verdict < Verdict.TIGHT else None
    return d.Document(
        "check",
        d.line("Board ", common.board_name(checked.setup), ", as fitted"),
        common.identity(checked.setup),
        d.present(
            whole_board(everything, help_, checked.setup.unknown),
            drawn.glance(everything) if pictures else None,
            common.failures(everything, help_),
            common.not_proved(everything, help_),
            d.section(
                "Places, worst first", common.place_table("Every place and its part", checked.places), anchor="places"
            ),
            d.section(
                "Rails, chips, cables and tracks, worst first",
                common.place_table("What the board itself has to carry", checked.links, False),
                anchor="links",
            ),
            common.assumed(checked.setup, everything),
            common.bounds(everything),
            common.not_asked(everything),
            _each(checked, pictures),
            common.not_judged(checked.not_judged),
            common.cautions(checked.cautions),
            common.policy(checked.setup),
        ),
        tuple(checked.notes),
        common.today(made_on),
    )


def sheet(checked: Checked) -> d.Table:
    """Every place and what the board itself has to carry, worst first, as one table for a spreadsheet."""
    made = common.place_table("Places and links", (*checked.places, *checked.links))
    return made or d.Table("Places and links", (d.Column("place"),), ())


def _each(checked: Checked, pictures: bool) -> d.Fold:
    """Every requirement of every place, by role, in the order of the board file."""
    groups: dict[str, list[d.Block]] = {}
    for judged in (*checked.places, *checked.links):
        pictured = drawn.place(checked.situation, judged) if pictures else ()
        title = d.line(say.place_name(judged), " ", d.Sign(judged.verdict))
        groups.setdefault(judged.role.title, []).append(d.Section(title, (*pictured, common.requirement_table(judged))))
    inner = tuple(d.Section((title,), tuple(blocks)) for title, blocks in groups.items())
    return d.Fold(
        "Every requirement of every place",
        inner,
        "`partcheck explain BOARD REF` shows those of one place, and a page (--html) all of them",
    )
