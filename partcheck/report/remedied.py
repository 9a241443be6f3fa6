"""Cures and lookups as text, under the requirement that they help."""

from typing import TYPE_CHECKING

from partcheck.readings.explain import Finding
from partcheck.report.lines import labelled
from partcheck.requirement import Verdict

if TYPE_CHECKING:
    from partcheck.jobs.remedies import Remedies

SHOWN = 4
"""Cures told under a requirement; the record has them all."""


def remedies_of(finding: Finding, ref: str, remedies: "Remedies | None") -> list[tuple[str, str]]:
    """What would cure a failing requirement, or what to look up for an unproven one: a label and words each."""
    cures = remedies.cures_of(ref, finding.id) if remedies is not None else []
    told = [("cure" if i == 0 else "or", str(cure)) for i, cure in enumerate(cures[:SHOWN])]
    if finding.verdict is Verdict.FAILS and not cures and finding.requirement.cure:
        known = remedies is not None and (ref, finding.id) in remedies.cures
        told.append(("cure", f"{'no single circuit value; ' if known else ''}{finding.requirement.cure}"))
    if finding.verdict is Verdict.UNPROVEN:
        lookups = remedies.lookups_of(ref, finding.id) if remedies is not None else []
        names = {lookup.name.partition(" ")[0] for lookup in lookups}
        wanted = [str(lookup) for lookup in lookups]
        wanted += [name for name in finding.story.missing if name.partition(" ")[0] not in names]
        told += [("look up" if i == 0 else "", text) for i, text in enumerate(wanted)]
    return told


def remedy_lines(finding: Finding, ref: str, remedies: "Remedies", indent: int = 4, width: int = 12) -> list[str]:
    """The same as lines of text."""
    return [
        line for label, words in remedies_of(finding, ref, remedies) for line in labelled(label, words, indent, width)
    ]
