"""Missing: which values to look up, or state, for a board to be proved; first what settles most.

A requirement that lacks one value alone is settled by it, whatever it turns out to be. So a value ranks by how many
requirements it alone leaves open, then by how many it is among the lacking ones of.
"""

import re
from dataclasses import dataclass, field

from partcheck.jobs.check.board import Checked, check
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.remedy.lookups import Lookup, lacking, lookups
from partcheck.parameters import KINDS
from partcheck.parameters.groups import GROUPS
from partcheck.parts import Part
from partcheck.readings.story import NO_RESULT
from partcheck.requirement import Verdict

EVERYTHING = "every value"
"""What is missing of a part that is not known at all."""
PAGES = {
    "Identity": "first page",
    "Limits": "absolute maximum ratings",
    "Ratings": "ratings",
    "Further ratings": "absolute maximum ratings",
    "Threshold": "electrical characteristics",
    "On-resistance": "electrical characteristics; against temperature: typical curves",
    "Heat": "thermal characteristics, near the ratings",
    "Leakage": "electrical characteristics",
    "Off": "electrical characteristics",
    "Pulses and avalanche": "absolute maximum ratings; curves of safe area and transient impedance",
    "Gate charge": "dynamic characteristics",
    "Capacitances": "dynamic characteristics",
    "Gain": "electrical characteristics; further currents: curve of gain",
    "Saturation": "electrical characteristics",
    "Forward voltage": "electrical characteristics; further currents: forward curve",
    "Light": "optical characteristics, and the table of bins",
    "Against temperature": "typical curves",
    "Pulses and flux": "absolute maximum ratings",
    "Breakdown (Zener and TVS)": "table of types, or electrical characteristics",
    "Leakage and recovery": "electrical characteristics",
    "Further": "electrical characteristics",
    "Output": "electrical characteristics",
    "Adjustable output": "electrical characteristics",
    "Input": "absolute maximum ratings; dropout: electrical characteristics",
    "Output capacitor": "application information: stability",
    "Wire and contact": "technical data",
    "Stock and notes": "not in a datasheet",
}
"""Where a datasheet usually has a group of values (common practice, no published source)."""


@dataclass(frozen=True)
class Gap:
    """One value to look up, or to state in the board file."""

    ref: str
    """The place whose part lacks it; empty for a key of the board."""
    name: str
    part: Part | None
    lookup: Lookup | None = None
    alone: tuple[str, ...] = ()
    """Requirements, as ``REF id``, that this value alone leaves open."""
    among: tuple[str, ...] = ()
    """Requirements that lack it beside others."""

    @property
    def page(self) -> str:
        """Where a datasheet usually has it."""
        kind = self.part.kind if self.part is not None else ""
        wanted = base_name(kind, self.name) if kind else ""
        found = next((group.title for group in GROUPS.get(kind, ()) if wanted in group.names), "")
        return PAGES.get(found, "")

    @property
    def words(self) -> str:
        """The value with its condition and how large it may be."""
        return str(self.lookup) if self.lookup is not None else self.name


@dataclass(frozen=True)
class Missing:
    """What a board lacks, first what settles most."""

    checked: Checked
    gaps: tuple[Gap, ...]

    @property
    def open(self) -> int:
        """How many requirements are unproven."""
        return sum(len(j.with_verdict(Verdict.UNPROVEN)) for j in (*self.checked.places, *self.checked.links))


@dataclass
class _Found:
    ref: str
    part: Part | None
    lookup: Lookup | None = None
    alone: list[str] = field(default_factory=list)
    among: list[str] = field(default_factory=list)


def missing(setup: Setup) -> Missing:
    """What to look up for a board."""
    checked = check(setup)
    found: dict[tuple[str, str], _Found] = {}
    for judged in (*checked.places, *checked.links):
        for finding in judged.with_verdict(Verdict.UNPROVEN):
            told = lookups(checked.situation, judged.ref, finding) if judged.part is not None else []
            wanted = [n for name in lacking(finding, judged.ref) if (n := _own(setup, judged.ref, name)) is not None]
            wanted = list(dict.fromkeys(wanted))
            for ref, name in wanted:
                made = found.setdefault((ref, name), _Found(ref, setup.situation.fitted.get(ref)))
                (made.alone if len(wanted) == 1 else made.among).append(f"{judged.ref} {finding.id}")
                own = [one for one in told if ref == judged.ref and one.name.split(" ")[0] == name.split(" ")[0]]
                if own and (made.lookup is None or made.lookup.value is None):
                    made.lookup = own[0]
    gaps = [Gap(f.ref, name, f.part, f.lookup, tuple(f.alone), tuple(f.among)) for (_, name), f in found.items()]
    gaps.sort(key=lambda gap: (-len(gap.alone), -len(gap.among), gap.ref, gap.name))
    return Missing(checked, tuple(gaps))


def _own(setup: Setup, ref: str, name: str) -> tuple[str, str] | None:
    """Whose value a missing one is: the place and its plain name; an empty place for a key of the board."""
    if name.endswith(NO_RESULT):
        return None
    other, _, rest = name.partition(": ")
    if rest and other in setup.board_file.board.role:
        ref, name = other, rest
    part = setup.situation.fitted.get(ref)
    if name.startswith("no part with known values") or (part is None and ref in setup.board_file.board.role):
        return ref, EVERYTHING
    plain = re.split(r" at these| \(", name)[0]
    if part is not None and base_name(part.kind, plain):
        return ref, plain.split(" ")[0]
    return "", name


def base_name(kind: str, name: str) -> str:
    """The parameter or table that a missing value belongs to: ``vgs_th`` for ``vgs_th_min``; empty for none."""
    first = name.split(" ")[0]
    if any(first == table.name for table in KINDS[kind].tables):
        return first
    declared = KINDS[kind].columns().get(first)
    return declared.name if declared is not None else ""


__all__ = ["PAGES", "Gap", "Missing", "base_name", "missing"]
