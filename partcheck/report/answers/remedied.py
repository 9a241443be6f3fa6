"""Cures and lookups in words, under the requirement that they help."""

from typing import TYPE_CHECKING

from partcheck.readings.explain import Finding
from partcheck.readings.story import NO_RESULT
from partcheck.requirement import Verdict

if TYPE_CHECKING:
    from partcheck.jobs.remedy.cures import Cure
    from partcheck.jobs.remedy.remedies import Remedies

SHOWN = 4
"""Cures told under a requirement; the record has them all."""
NO_VALUE = "no one circuit value would do"
FAR = 5.0
"""A cure that changes a quantity by more than this factor is told only where no other is."""


def remedies_of(finding: Finding, ref: str, remedies: "Remedies | None") -> list[tuple[str, str]]:
    """What would cure a failing requirement, or what to look up for an unproven one: a label and words each."""
    cures = remedies.cures_of(ref, finding.id) if remedies is not None else []
    near = [cure for cure in cures if not _far(cure)] or cures
    told = []
    if finding.verdict is Verdict.FAILS and remedies is not None:
        told += [("look up", f"{lookup}, not stated so far") for lookup in remedies.lookups_of(ref, finding.id)]
    told += [("or" if told or i else "cure", str(cure)) for i, cure in enumerate(near[:SHOWN])]
    if finding.verdict is Verdict.FAILS and not told and finding.requirement.cure:
        known = remedies is not None and (ref, finding.id) in remedies.cures
        told.append(("cure", f"{finding.requirement.cure}{f' ({NO_VALUE})' if known else ''}"))
    if finding.verdict is Verdict.UNPROVEN:
        from partcheck.jobs.remedy.lookups import lacking  # it loads NumPy, which a board that meets does without

        lookups = remedies.lookups_of(ref, finding.id) if remedies is not None else []
        names = {lookup.name.partition(" ")[0] for lookup in lookups}
        wanted = [str(lookup) for lookup in lookups]
        wanted += [name for name in lacking(finding, ref) if name.partition(" ")[0] not in names]
        told += [("no result", text) for text in wanted if text.endswith(NO_RESULT)]
        wanted = [text for text in wanted if not text.endswith(NO_RESULT)]
        told += [("look up" if i == 0 else "", text) for i, text in enumerate(w for w in wanted if not _of_board(w))]
        told += [("state", f"{text} (in the board file)") for text in wanted if _of_board(text)]
    return told


def _far(cure: "Cure") -> bool:
    """True for a change by a large factor, of a quantity that has one."""
    if cure.unit == "°C" or not (cure.before > 0 and cure.value > 0):
        return False
    return not 1 / FAR <= cure.value / cure.before <= FAR


def _of_board(missing: str) -> bool:
    """True for a value that the board file should state: a dotted key."""
    first = missing.partition(" ")[0]
    return "." in first.strip(".") and ":" not in first and not first[0].isdigit()
