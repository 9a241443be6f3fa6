"""How an answer opens: the verdict in one or two plain sentences, and what to do first."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from partcheck.jobs.judge.few import few
from partcheck.jobs.judge.place import Judged
from partcheck.readings.explain import Finding
from partcheck.report import document as d
from partcheck.report.answers import common
from partcheck.report.answers import phrases as say
from partcheck.report.answers.causes import Told, open_causes
from partcheck.report.answers.remedied import remedies_of
from partcheck.requirement import Verdict

if TYPE_CHECKING:
    from partcheck.jobs.remedy.remedies import Remedies


def whole_board(places: Sequence[Judged], remedies: "Remedies | None", unknown: Sequence[str] = ()) -> d.Finding:
    """The verdict of a whole board in one or two sentences, and what to do first.

    ``unknown`` says which parts are not known, and what to do about each.
    """
    worst = common.worst_first(places)
    verdict = worst[0].verdict if worst else Verdict.MEETS
    if verdict is Verdict.FAILS:
        return _failing(worst, remedies)
    if verdict is Verdict.UNPROVEN:
        return _unproven(worst, remedies, unknown)
    if not worst or worst[0].tightest is None:
        return d.Finding(verdict, (("The whole board meets.",),))
    least = worst[0]
    word = "meets" if verdict is Verdict.MEETS else "meets, but tight"
    tightest = least.tightest
    assert tightest is not None
    sentence = d.line(
        f"The whole board {word}: ",
        say.place_name(least),
        " has the least to spare, ",
        say.share(least.headroom),
        "; ",
        d.Id(tightest.id),
        " ",
        say.needs(tightest),
        ".",
    )
    return d.Finding(verdict, (sentence,))


def _failing(worst: Sequence[Judged], remedies: "Remedies | None") -> d.Finding:
    failing = [judged for judged in worst if judged.verdict is Verdict.FAILS]
    first = failing[0]
    least = common.findings_worst_first(first.with_verdict(Verdict.FAILS))[0]
    more = f" and {say.counted(len(failing) - 1, 'more place')}" if len(failing) > 1 else ""
    sentences = [
        d.line(
            "Does not meet: ",
            say.place_name(first),
            f"{more}. ",
            d.Id(least.id),
            " of ",
            d.Name(first.ref),
            ": " if least.as_fitted and least.requirement.change else " ",
            say.needs(least),
            ".",
        ),
    ]
    causes = open_causes(worst)
    if causes:
        count = say.counted(sum(len(cause.left) for cause in causes), "requirement is", "requirements are")
        sentences.append((f"Besides, {count} not proved.",))
    return d.Finding(Verdict.FAILS, tuple(sentences), first_remedies(least, first.ref, remedies))


def _unproven(worst: Sequence[Judged], remedies: "Remedies | None", said: Sequence[str]) -> d.Finding:
    unknown = common.unknown_parts(worst)
    if unknown:
        return _unknown(unknown, sum(judged.verdict is Verdict.UNPROVEN for judged in worst), said)
    causes = open_causes(worst, remedies)
    missing, told, left = causes[0]
    places = len({ref for ref, _ in left})
    one = d.line(
        "Nothing fails, but the board is not proved: ",
        d.Name("; ".join(missing)),
        f" is not stated, which leaves {say.counted(len(left), 'requirement')} at {say.counted(places, 'place')} open.",
    )
    more = (
        (f"{say.counted(len(causes) - 1, 'other value is', 'other values are')} missing, too.",)
        if len(causes) > 1
        else None
    )
    return d.Finding(Verdict.UNPROVEN, (one, more) if more is not None else (one,), in_short(told))


def _unknown(unknown: Sequence[Judged], open_: int, said: Sequence[str]) -> d.Finding:
    """Nothing is known of some parts: that comes first, as most of what is open follows from it."""
    where = f"{'part' if len(unknown) == 1 else 'parts'} at {few([judged.ref for judged in unknown])}"
    sentences = [(f"Nothing fails, but the board is not proved: no values are known for the {where}.",)]
    more = open_ - len(unknown)
    if more:
        sentences.append((f"{say.counted(more, 'other place is', 'other places are')} not proved either.",))
    todo = said[0] if said else "choose parts that are in the catalog, or enter their datasheet values"
    if len(said) > 1:
        todo += f" See the notes for {say.counted(len(said) - 1, 'more unknown part')}."
    return d.Finding(Verdict.UNPROVEN, tuple(sentences), ((d.Name(todo),),))


def first_remedies(made: Finding, ref: str, remedies: "Remedies | None", most: int = 2) -> d.Lines:
    """The first of what would help, for the head of an answer."""
    return in_short([item for item in remedies_of(made, ref, remedies) if item[0] != "no result"], most)


def in_short(told: Sequence[Told], most: int = 2) -> d.Lines:
    """What would help, for the head of an answer."""
    return tuple(
        d.line(f"{label} " if label in ("look up", "state") else "", d.Name(words)) for label, words in told[:most]
    )


def one_place(judged: Judged, remedies: "Remedies | None") -> d.Finding:
    """The verdict of one part in one place, and what to do first."""
    name = judged.part.part_number if judged.part is not None else "The place without a known part"
    who = d.line(d.Name(name), " as ", d.Name(judged.ref)) if judged.part is not None else d.line(name)
    if judged.verdict is Verdict.FAILS:
        found = common.findings_worst_first(judged.with_verdict(Verdict.FAILS))
        more = f", and {say.counted(len(found) - 1, 'more requirement')}" if len(found) > 1 else ""
        sentence = d.line(who, " does not meet ", d.Id(found[0].id), more, ": ", say.needs(found[0]), ".")
        return d.Finding(Verdict.FAILS, (sentence,), first_remedies(found[0], judged.ref, remedies))
    if judged.verdict is Verdict.UNPROVEN:
        found = judged.with_verdict(Verdict.UNPROVEN)
        count = say.counted(len(found), "requirement lacks a value", "requirements lack a value")
        sentence = d.line(who, f" is not proved: {count}. ", d.Id(found[0].id), ": ", say.needs(found[0]), ".")
        return d.Finding(Verdict.UNPROVEN, (sentence,), first_remedies(found[0], judged.ref, remedies))
    tightest = judged.tightest
    word = "meets" if judged.verdict is Verdict.MEETS else "meets, but tight"
    if tightest is None:
        return d.Finding(judged.verdict, (d.line(who, f" {word}."),))
    spare = say.to_spare(tightest.headroom)
    return d.Finding(
        judged.verdict, (d.line(who, f" {word}, ", spare, ": ", d.Id(tightest.id), " ", say.needs(tightest), "."),)
    )
