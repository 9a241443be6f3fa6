"""The answer to one question: does the part do, what else would, and what was assumed."""

from datetime import date

from partcheck.jobs.ask.ask import Asked
from partcheck.jobs.judge.place import Judged
from partcheck.parameters import KINDS
from partcheck.report import document as d
from partcheck.report.answers import common, drawn, heads
from partcheck.report.answers.remedied import NO_VALUE
from partcheck.report.answers.swap import document as stand_ins
from partcheck.report.render.spans import line_text
from partcheck.requirement import Verdict

WORDS = {
    Verdict.MEETS: "Yes: ",
    Verdict.TIGHT: "Yes, but only just: ",
    Verdict.UNPROVEN: "Not proved: ",
    Verdict.FAILS: "No: ",
}
NAMED = 3
"""So many of the parts that would do are named in the head of the answer."""


def document(asked: Asked, pictures: bool = False, made_on: date | None = None) -> d.Document:
    """One question answered, for a person."""
    help_ = asked.remedies if asked.places and asked.verdict < Verdict.TIGHT else None
    place = asked.part
    return d.Document(
        "ask",
        d.line("Asked: ", asked.topic.title),
        common.identity(asked.setup),
        d.present(
            finding(asked),
            common.failures(asked.places, help_, "What does not meet"),
            common.not_proved(asked.places, help_),
            d.section("Judged, worst first", common.place_table("What was asked about", asked.places), anchor="places"),
            d.section("The place", *drawn.place(asked.situation, place)) if pictures and place is not None else None,
            d.section(
                "What else would do, best first" if asked.named else "What would do, best first",
                *stand_ins.ranking(asked.swapped),
                stand_ins.each(asked.swapped),
                anchor="standins",
            ),
            d.section("Assumed, as it was not stated", _supposed(asked), anchor="assumed"),
            common.assumed(asked.setup, asked.places),
            common.bounds(asked.places),
            common.not_asked(asked.places),
            d.section("Next", *_next(asked)),
            common.not_judged(asked.not_judged),
            common.cautions(asked.cautions),
            common.policy(asked.setup),
        ),
        tuple(asked.notes),
        common.today(made_on),
    )


def finding(asked: Asked) -> d.Finding:
    """Whether it does, with the number that decides, and what else would do."""
    if not asked.named:
        return _without_part(asked)
    help_ = asked.remedies if asked.verdict < Verdict.TIGHT else None
    first = heads.one_place(asked.places[0], help_)
    sentences: list[d.Line] = [d.line(WORDS[asked.places[0].verdict], *first.sentences[0]), *_others(asked)]
    todo = _name_the_switch(asked) or (*_state(asked), *_beside(first.todo, asked)) or _first_todo(asked.beside, asked)
    sentences.append(_also(asked))
    return d.Finding(asked.verdict, tuple(sentences), todo)


def _without_part(asked: Asked) -> d.Finding:
    first = stand_ins.finding(asked.swapped)
    todo = _name_the_switch(asked) or first.todo or _first_todo(asked.beside, asked)
    return d.Finding(asked.verdict, (*first.sentences, *_others(asked)), todo)


def _name_the_switch(asked: Asked) -> d.Lines:
    """What a diode's answer lacks where the switch it protects is not known."""
    if asked.topic.name != "diode" or "mosfet" in asked.answers or asked.verdict is not Verdict.UNPROVEN:
        return ()
    return (
        ("state --mosfet, the MOSFET that switches the coil: its rating limits how far the diode may let it rise",),
    )


def _beside(todo: d.Lines, asked: Asked) -> d.Lines:
    """What else would help, beside a value to state: a remedy without a number says no more than that."""
    return todo if not asked.enough else tuple(line for line in todo if NO_VALUE not in line_text(line))[:1]


def _state(asked: Asked) -> d.Lines:
    """Which value of what was not stated would be enough."""
    return tuple(
        d.line(f"state {made.option}, {made.taken} was assumed: '{made.value}' is enough for ", d.Id(made.requirement))
        for made in asked.enough
    )


def _others(asked: Asked) -> list[d.Line]:
    """What stands beside the part and does not do."""
    low = [judged for judged in asked.beside if judged.verdict < Verdict.TIGHT]
    return [d.line("Beside it: ", *heads.one_place(judged, asked.remedies).sentences[0]) for judged in low]


def _first_todo(places: tuple[Judged, ...], asked: Asked) -> d.Lines:
    low = [judged for judged in places if judged.verdict < Verdict.TIGHT]
    return heads.one_place(low[0], asked.remedies).todo if low else ()


def _also(asked: Asked) -> d.Line:
    """How many others would do, and the first of them."""
    doing = [made for made in asked.swapped.candidates if made.verdict >= Verdict.TIGHT]
    if not doing and not asked.swapped.compared:
        return (f"No other {KINDS[asked.swapped.demands.role.kind].word} is known.",)
    if not doing:
        return ("None of the other known parts is proved to do here.",)
    names = d.joined([(d.Name(made.part.part_number),) for made in doing[:NAMED]], ", ", " and ")
    count = asked.swapped.counts[Verdict.MEETS] + asked.swapped.counts[Verdict.TIGHT]
    more = f", and {count - min(NAMED, len(doing))} more" if count > NAMED else ""
    return d.line("These would do too: ", *names, f"{more}.")


def _supposed(asked: Asked) -> d.Table | None:
    rows = [d.Row(((d.Id(made.option),), (made.value,), (made.why,))) for made in asked.supposed]
    columns = (d.Column("option"), d.Column("taken"), d.Column("what it is"))
    return d.Table("State these to be sure", columns, tuple(rows)) if rows else None


def _next(asked: Asked) -> tuple[d.Block, ...]:
    ref = asked.topic.ref
    return (
        d.NextStep("--write FILE.toml", "To keep this as a board file, a start for a board of your own, add"),
        d.NextStep(f"partcheck explain FILE.toml {ref}", "Then, to see every requirement with its formula and sources"),
    )
