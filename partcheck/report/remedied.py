"""Cures and lookups as text, under the requirement that they help."""

from typing import TYPE_CHECKING

from partcheck.readings.explain import Finding
from partcheck.report.lines import labelled
from partcheck.requirement import Verdict

if TYPE_CHECKING:
    from partcheck.jobs.remedies import Remedies

SHOWN = 4
"""Cures told under a requirement; the record has them all."""


def remedy_lines(finding: Finding, ref: str, remedies: "Remedies", indent: int = 4, width: int = 12) -> list[str]:
    """What would cure a failing requirement, or what to look up for an unproven one."""
    lines: list[str] = []
    found = remedies.cures_of(ref, finding.id)
    for i, cure in enumerate(found[:SHOWN]):
        lines += labelled("cure" if i == 0 else "or", str(cure), indent, width)
    if finding.verdict is Verdict.FAILS and not found and finding.requirement.cure:
        known = (ref, finding.id) in remedies.cures
        words = f"{'no single circuit value; ' if known else ''}{finding.requirement.cure}"
        lines += labelled("cure", words, indent, width)
    if finding.verdict is Verdict.UNPROVEN:
        told = [str(lookup) for lookup in remedies.lookups_of(ref, finding.id)]
        names = {lookup.name.partition(" ")[0] for lookup in remedies.lookups_of(ref, finding.id)}
        told += [name for name in finding.story.missing if name.partition(" ")[0] not in names]
        for i, text in enumerate(told):
            lines += labelled("look up" if i == 0 else "", text, indent, width)
    return lines
