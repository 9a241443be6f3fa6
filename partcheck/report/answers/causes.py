"""What is not proved, by cause: each missing value once, whatever it leaves open, and what to look up or state."""

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from partcheck.jobs.judge.place import Judged
from partcheck.readings.explain import Finding
from partcheck.report.answers.alike import merged, pattern
from partcheck.report.answers.remedied import remedies_of
from partcheck.requirement import Verdict

if TYPE_CHECKING:
    from partcheck.jobs.remedy.lookups import Lookup
    from partcheck.jobs.remedy.remedies import Remedies

Told = tuple[str, str]
"""What would help: its label (``look up``, ``state``), and its words."""


class Cause(NamedTuple):
    """The values that are missing, what to look up or state for all that they leave open, and that.

    Keys of a board file that differ in the number of their member alone are one: ``drive."OUT1..OUT16".pin_current``.
    """

    missing: tuple[str, ...]
    told: tuple[Told, ...]
    left: list[tuple[str, Finding]]


class _Open(NamedTuple):
    missing: tuple[str, ...]
    told: tuple[Told, ...]
    ref: str
    finding: Finding
    lookups: "Sequence[Lookup]"


def open_causes(places: Iterable[Judged], remedies: "Remedies | None" = None) -> list[Cause]:
    """What is not proved, by the values that are missing: the cause that leaves most open first.

    What helps is what helps all of it; where a value may be of another size in another place, that is another cause.
    """
    by_name: dict[tuple[str, ...], list[_Open]] = {}
    for judged in places:
        for finding in judged.with_verdict(Verdict.UNPROVEN):
            missing = finding.story.missing or ("a value",)
            told = [item for item in remedies_of(finding, judged.ref, remedies) if item[0] != "no result"]
            looked = remedies.lookups_of(judged.ref, finding.id) if remedies is not None else []
            one = _Open(missing, tuple(told) if remedies is not None else (), judged.ref, finding, looked)
            by_name.setdefault(tuple(map(pattern, missing)), []).append(one)
    made = [cause for found in by_name.values() for cause in _together(found)]
    return sorted(made, key=lambda cause: -len(cause.left))


def _together(found: Sequence[_Open]) -> Iterator[Cause]:
    """All that lacks the same as one cause, where something helps all of it; else by what helps."""
    shared = set.intersection(*({pattern(words) for _, words in one.told} for one in found))
    by_place: dict[str, list[_Open]] = {}
    for one in found:
        by_place.setdefault(one.ref, []).append(one)
    enough = {ref: _for_all(some) for ref, some in by_place.items()}
    if all(enough.values()):
        for ref, some in by_place.items():
            cause = _cause(some, shared)
            yield cause._replace(told=(("look up", enough[ref]), *cause.told))
        return
    if shared or not any(one.told for one in found):
        yield _cause(found, shared)
        return
    by_told: dict[tuple[str, ...], list[_Open]] = {}
    for one in found:
        by_told.setdefault(tuple(pattern(words) for _, words in one.told), []).append(one)
    for some in by_told.values():
        yield _cause(some, {pattern(words) for _, words in some[0].told})


def _for_all(found: Sequence[_Open]) -> str:
    """What to look up for all that one place lacks of a value, in words; empty where no one size serves it all."""
    from partcheck.jobs.remedy.lookups import for_all  # it loads NumPy, which a board that meets does without

    looked = for_all([one.lookups for one in found])
    return str(looked) if looked is not None and len(found) > 1 else ""


def _cause(found: Sequence[_Open], shared: set[str]) -> Cause:
    missing = tuple(merged(names) for names in zip(*(one.missing for one in found), strict=True))
    words: dict[str, list[str]] = {}
    for one in found:
        for _, said in one.told:
            words.setdefault(pattern(said), []).append(said)
    told = tuple((label, merged(words[pattern(said)])) for label, said in found[0].told if pattern(said) in shared)
    return Cause(missing, told, [(one.ref, one.finding) for one in found])
