"""The answer about what is missing: what to look up, in the order of how much it settles."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from partcheck.jobs.judge.few import few
from partcheck.jobs.missing.missing import Gap, Missing
from partcheck.report import document as d
from partcheck.report.answers import common
from partcheck.report.answers import phrases as say
from partcheck.report.answers.alike import merged, pattern
from partcheck.requirement import Verdict

SHOWN = 4


def document(missing: Missing, pictures: bool = False, made_on: date | None = None) -> d.Document:
    """What to look up, for a person."""
    checked = missing.checked
    return d.Document(
        "missing",
        d.line("What to look up for ", common.board_name(checked.setup)),
        common.identity(checked.setup),
        d.present(
            _finding(missing),
            d.section("Look up, most useful first", _table(missing)) if missing.gaps else None,
            common.bounds((*checked.places, *checked.links)),
            d.section("Next", *_next(missing)) if missing.gaps else None,
        ),
        tuple(checked.notes),
        common.today(made_on),
    )


def _finding(missing: Missing) -> d.Finding:
    verdict = missing.checked.verdict
    if not missing.open:
        words = "Nothing is missing: every requirement that is asked is decided."
        return d.Finding(verdict, ((words,),))
    count = say.counted(missing.open, "requirement is", "requirements are")
    told = _told_once(missing.gaps)
    first = f"{count} not proved; {say.counted(len(told), 'value')} to look up or state would settle them."
    if not missing.gaps:
        return d.Finding(Verdict.UNPROVEN, ((f"{count} not proved, though no value is missing.",),))
    return d.Finding(verdict, ((first,),), (d.line(*_what(told[0][0])),))


def _what(gap: Gap) -> d.Line:
    if not gap.ref:
        return ("state ", d.Name(gap.name), " in the board file")
    who = d.Name(gap.part.name) if gap.part is not None else "the part there"
    return d.line("look up ", d.Name(gap.words), " of ", who, " (", d.Name(gap.ref), ")")


def _told_once(gaps: Sequence[Gap]) -> list[tuple[Gap, list[str]]]:
    """The values, one that several places lack alike once: the same of one part, keys that differ in a number."""
    alike: dict[tuple[str, ...], list[Gap]] = {}
    for gap in gaps:
        part = gap.part.name if gap.part is not None else gap.ref
        alike.setdefault((part, gap.page, gap.words if gap.ref else pattern(gap.name)), []).append(gap)
    made = []
    for found in alike.values():
        first = found[0]
        name = first.name if first.ref else merged([gap.name for gap in found])
        alone, among = (tuple(item for gap in found for item in getattr(gap, side)) for side in ("alone", "among"))
        made.append((replace(first, name=name, alone=alone, among=among), [gap.ref for gap in found if gap.ref]))
    return sorted(made, key=lambda one: (-len(one[0].alone), -len(one[0].among)))


def _table(missing: Missing) -> d.Table:
    rows = []
    for gap, refs in _told_once(missing.gaps):
        part = gap.part.name if gap.part is not None else "not known" if gap.ref else "board file"
        settles = d.joined([(name,) for name in gap.alone[:SHOWN]])
        more = len(gap.alone) - SHOWN
        beside = f"{'; ' if gap.alone else ''}with others {', '.join(gap.among[:SHOWN])}" if gap.among else ""
        beside += f" and {len(gap.among) - SHOWN} more" if len(gap.among) > SHOWN else ""
        cells: tuple[d.Line, ...] = (
            (d.Name(gap.words),),
            (d.Name(f"{few(refs)} {part}".strip()),),
            d.line(*settles, f" and {more} more" if more > 0 else "", beside),
            (gap.page,),
        )
        rows.append(d.Row(cells, {"place": gap.ref, "value": gap.name}))
    columns = (
        d.Column("value"),
        d.Column("of"),
        d.Column("settles", detail=True),
        d.Column("usually under", detail=True),
    )
    return d.Table("Each value with what it settles alone", columns, tuple(rows))


def _next(missing: Missing) -> tuple[d.Block, ...]:
    return (
        d.NextStep("partcheck missing BOARD --fill", "To be asked for them one by one, and enter them in the catalog"),
    )
