"""What each requirement rests on, from its declaration and from what the tests recorded."""

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum

from partcheck.errors import UsageError
from partcheck.jobs.evidence.left_out import left_out
from partcheck.jobs.evidence.recorded import Check, FormulaCheck, Recorded, Simulated, recorded
from partcheck.jobs.judge.unjudged import TOPICS
from partcheck.policy import ASSUMED, POLICIES, VALUES
from partcheck.readings.uses import facts_asked, read_by
from partcheck.requirement import Requirement, Role
from partcheck.roles import LINK_ROLES, ROLES

ALL_ROLES: Mapping[str, Role] = {**ROLES, **LINK_ROLES}
SUGGESTED = 3


class Outside(Enum):
    """The strongest that somebody else than this project says of a requirement."""

    WHOLE = "published numbers through the whole requirement"
    PHYSICS = "published numbers through physics that it uses"
    SIMULATED = "the simulated circuit alone"
    NONE = "no outside check"


@dataclass(frozen=True)
class Stated:
    """A value of policies that a requirement reads: meaning, unit, and what each policy has (SI) with its source."""

    name: str
    unit: str
    meaning: str
    policies: tuple[tuple[str, float, str], ...]


@dataclass(frozen=True)
class Support:
    """All that speaks for one requirement."""

    role: Role
    requirement: Requirement
    demand: str
    capability: str
    checks: tuple[Check, ...]
    functions: tuple[str, ...]
    behind: tuple[FormulaCheck, ...]
    simulated: tuple[Simulated, ...]
    factors: tuple[Stated, ...]
    assumed: tuple[Stated, ...]
    left_out: tuple[str, ...]
    questions: tuple[str, ...]

    @property
    def name(self) -> str:
        """Role and id."""
        return f"{self.role.name} {self.requirement.id}"

    @property
    def outside(self) -> Outside:
        """The strongest outside check."""
        if self.checks:
            return Outside.WHOLE
        if self.behind:
            return Outside.PHYSICS
        return Outside.SIMULATED if self.simulated else Outside.NONE

    @property
    def worst_check(self) -> Check | None:
        """The published number that comes out farthest from what is printed."""
        return max(self.checks, key=lambda check: abs(check.deviation), default=None)

    @property
    def nearest(self) -> Simulated | None:
        """What came nearest to its limit in the simulated circuit."""
        return max(self.simulated, key=lambda made: made.worst, default=None)


@dataclass(frozen=True)
class Evidence:
    """The requirements that were asked about; ``asked`` is empty where all were."""

    asked: str
    grounds: tuple[Support, ...]
    record: Recorded

    def with_outside(self, outside: Outside) -> list[Support]:
        """Those whose strongest outside check is this one."""
        return [ground for ground in self.grounds if ground.outside is outside]


def evidence(asked: str = "", record: Recorded | None = None) -> Evidence:
    """What the requirements of this name rest on: an id, a role, both (``mosfet-switch drain-voltage``), or all.

    Raises ``UsageError`` with a suggestion for a name that no requirement and no role has.
    """
    known = record or recorded()
    wanted = asked.strip().lower().replace(":", " ")
    found = [(role, rule) for role, rule in _all() if wanted in ("", role.name, rule.id, f"{role.name} {rule.id}")]
    if not found:
        raise UsageError(f"there is no requirement and no role {asked.strip()!r}; {_suggested(wanted)}")
    return Evidence(wanted, tuple(_ground(role, rule, known) for role, rule in found), known)


def _all() -> Iterator[tuple[Role, Requirement]]:
    return ((role, rule) for role in ALL_ROLES.values() for rule in role.requirements.values())


def _suggested(wanted: str) -> str:
    """What may have been meant: a name like it, or the requirements that read a value of that name."""
    ids = dict.fromkeys(name for role, rule in _all() for name in (rule.id, role.name))
    value = wanted.replace("-", "_")
    reads = list(dict.fromkeys(rule.id for role, rule in _all() if value and value in _values(role, rule)))
    if reads:
        return f"did you mean {' or '.join(reads[:SUGGESTED])}, which {'reads' if len(reads) == 1 else 'read'} {value}?"
    close = difflib.get_close_matches(wanted, ids, 1, 0.4)
    return f"did you mean {close[0]}?" if close else "`partcheck evidence` lists them all"


def _values(role: Role, rule: Requirement) -> set[str]:
    """The values of a datasheet and of a policy that a requirement reads, by name."""
    of_part = {name for name, ids in read_by(role).items() if rule.id in ids} if role.kind else set()
    return of_part | {fact.removeprefix("k_").removeprefix("assumed_") for fact in facts_asked(role, rule.id)}


def _ground(role: Role, rule: Requirement, record: Recorded) -> Support:
    name, read = f"{role.name} {rule.id}", facts_asked(role, rule.id)
    demand, capability = record.formulas.get(name, ("", ""))
    functions = record.functions.get(name, ())
    return Support(
        role,
        rule,
        demand,
        capability,
        record.checks.get(name, ()),
        functions,
        tuple(check for check in record.formula_checks if set(check.functions) & set(functions)),
        record.simulated.get(name, ()),
        tuple(_factor(key) for key in VALUES if f"k_{key}" in read),
        tuple(_assumption(key) for key in ASSUMED if f"assumed_{key}" in read),
        left_out(rule),
        tuple(
            f"{topic.question} {topic.why[0].upper()}{topic.why[1:]}."
            for topic in TOPICS
            if f"`{rule.id}`" in topic.asked
        ),
    )


def _factor(name: str) -> Stated:
    has = [(p.name, p.value(name), p.sources[name]) for p in POLICIES.values() if name in p.values]
    return Stated(name, VALUES[name].unit, VALUES[name].meaning, tuple(has))


def _assumption(name: str) -> Stated:
    has = [(p.name, p.assumption(name), p.assumed_sources[name]) for p in POLICIES.values() if name in p.assumed]
    return Stated(name, ASSUMED[name].unit, ASSUMED[name].meaning, tuple(has))


__all__ = ["Evidence", "Outside", "Stated", "Support", "evidence"]
