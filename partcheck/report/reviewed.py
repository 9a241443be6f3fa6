"""What is doubtful in the catalog, as text."""

from collections.abc import Sequence
from itertools import islice

from partcheck.parts.review import Doubt
from partcheck.report.lines import heading, listing, wrap

MOST = 100
"""Parts that are told one by one; what there is of more is counted."""


def text(doubts: Sequence[Doubt], reviewed: int, where: str) -> str:
    """Each doubt with its reason, part by part; nothing was changed."""
    of = "1 part" if reviewed == 1 else f"{reviewed} parts"
    if not doubts:
        return f"nothing is doubtful about {of} in {where}"
    lines: list[str] = []
    by_part: dict[tuple[str, str, str], list[Doubt]] = {}
    for doubt in doubts:
        by_part.setdefault((doubt.kind, doubt.part_number, doubt.maker), []).append(doubt)
    for (kind, number, maker), mine in islice(by_part.items(), MOST):
        lines += [*heading(f"{number} ({maker}), {kind}"), *listing(f"{d.reason} [{d.rule}]" for d in mine), ""]
    if len(by_part) > MOST:
        lines += [*wrap(f"… and {len(by_part) - MOST} more parts; name a kind or a part, or take all with --json"), ""]
    count = "1 doubt" if len(doubts) == 1 else f"{len(doubts)} doubts"
    told = f"{count} about {len(by_part)} of {of}; nothing was changed: look each up, then partcheck catalog edit PART"
    return "\n".join([*lines, *wrap(told, "", "  ")])


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
