"""What must let go once its switch opens: the numbers of one load, or the worst of several together."""

from typing import Any, NamedTuple

from partcheck.board.loads import Coil
from partcheck.requirement import Fact
from partcheck.situation.loads import LoadState
from partcheck.situation.many import at_least, known_below, largest_of, least_of, many, ratio, show

NEXT_TO_NONE = 1e-12
"""A current in A that divides in place of none."""


class Release(NamedTuple):
    """What must let go: the one load that states it, or the worst of each number of several."""

    time: float
    current: Any
    end: Any
    inductance: Any
    resistance: Any
    names: str
    parts: tuple[Fact, ...]


def release_end(state: LoadState, load: Coil) -> Fact:
    """Current of the whole group at which it has let go, A; missing where its least current while on is no more."""
    assert load.release_level is not None
    level, least = load.release_level * load.count, state.least
    value = known_below(level, least.value)
    if not many(value) and value != value:
        return Fact(value, "", (f"{state.name}.release_level below its least current, {show(least.value, 'A')}",))
    return Fact(value, f"{state.name}.release_level")


def worst_release(found: list[Release]) -> Release | None:
    """One load that lets go no sooner, against its limit, than any of several that go off together.

    Time to let go over the limit rises with inductance times current over the limit, and falls with the
    winding's drop and with the share of the current that is left, so the worst of each is taken.
    """
    if len(found) < 2:
        return found[0] if found else None
    time, current = min(r.time for r in found), at_least(largest_of(r.current for r in found), NEXT_TO_NONE)
    flux = largest_of(r.inductance * r.current / r.time for r in found)
    drop = least_of(r.resistance * r.current for r in found)
    left = least_of(ratio(r.end, r.current) for r in found)
    return Release(
        time, current, left * current, flux * time / current, drop / current,
        " and ".join(r.names for r in found), tuple(part for r in found for part in r.parts),
    )  # fmt: skip
