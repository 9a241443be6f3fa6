"""What is doubtful in the catalog: each doubt with its reason."""

from collections.abc import Sequence
from datetime import date
from itertools import islice

from partcheck.parts.review import Doubt
from partcheck.report import document as d
from partcheck.report.answers.catalogued import about_catalog, part_name
from partcheck.report.lines import counted

MOST = 100
"""Parts that are told one by one; what there is of more is counted."""


def document(doubts: Sequence[Doubt], count: int, where: str, made_on: date | None = None) -> d.Document:
    """Each doubt with its reason, part by part; nothing was changed."""
    by_part: dict[tuple[str, str, str], list[Doubt]] = {}
    for doubt in doubts:
        by_part.setdefault((doubt.kind, doubt.part_number, doubt.maker), []).append(doubt)
    parts = (_part(*identity, mine) for identity, mine in islice(by_part.items(), MOST))
    left = len(by_part) - MOST
    more = f"And {counted(left, 'more part')}; name a kind or a part, or take all with --json."
    return about_catalog(
        "review",
        ("Doubtful values",),
        where,
        _head(doubts, len(by_part), count, where),
        *parts,
        d.Paragraph((more,)) if left > 0 else None,
        made_on=made_on,
    )


def _head(doubts: Sequence[Doubt], parts: int, count: int, where: str) -> d.Finding:
    of = counted(count, "part")
    if not doubts:
        return d.Finding(None, (d.line(f"Nothing is doubtful about {of} in ", d.Name(where), "."),))
    told = f"{counted(len(doubts), 'doubt')} about {parts} of {of} in "
    return d.Finding(
        None,
        (d.line(told, d.Name(where), "; nothing was changed."),),
        (d.line("look each up in its datasheet, then ", d.Id("partcheck catalog edit PART")),),
    )


def _part(kind: str, number: str, maker: str, mine: Sequence[Doubt]) -> d.Section:
    items = tuple(d.line(d.Name(doubt.reason), " [", d.Id(doubt.rule), "]") for doubt in mine)
    return d.Section(d.line(part_name(number, maker), f", {kind}"), (d.Listing(items),))


def note(doubts: Sequence[Doubt] | None) -> str:
    """One sentence for the end of another command; empty where nothing is doubtful, None where nobody looked."""
    if doubts is None:
        return "look for doubtful values with: partcheck catalog review"
    if not doubts:
        return ""
    parts = {(d.kind, d.part_number, d.maker) for d in doubts}
    what = f"1 value of {doubts[0].part_number} looks" if len(doubts) == 1 else f"{len(doubts)} values look"
    which = doubts[0].part_number if len(parts) == 1 else ""
    return f"{what} doubtful; see them with: partcheck catalog review {which}".rstrip()


__all__ = ["document", "note"]
