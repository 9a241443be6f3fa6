"""What sums where: rails, regulators, chips, returns; of what may be on at once, the largest currents count."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from partcheck.board.roles import Indicator, NpnSink, Regulator
from partcheck.physics import waves
from partcheck.requirement import Fact
from partcheck.situation.facts import combine, total

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

Item = tuple[str, str, Fact]
"""Owner (the load or indicator that is on or off), label, amount."""


def at_once(situation: "Situation", items: Iterable[Item]) -> list[Item]:
    """The items that count: of each ``at_once`` group, those of the owners with the largest totals."""
    items = list(items)
    totals: dict[str, float] = {}
    for owner, _, fact in items:
        value = fact.value if fact.value is not None and fact.value == fact.value else float("inf")
        totals[owner] = totals.get(owner, 0.0) + value
    off: set[str] = set()
    for group in situation.board.at_once:
        here = sorted((name for name in group.of if name in totals), key=lambda name: (-totals[name], name))
        off.update(here[group.most :])
    return [item for item in items if item[0] not in off]


def peak(situation: "Situation", name: str) -> Fact:
    """Largest current of a load at any moment: its inrush or stall where it has one."""
    state = situation.load(name)
    return state.inrush if state.inrush.value is not None else state.largest


def drive_items(situation: "Situation", rail: str) -> list[Item]:
    """Currents that the outputs of chips on this rail deliver, owned by what they turn on."""
    board = situation.board
    chips = {name for name, chip in board.chip.items() if chip.supply == rail}
    made: list[Item] = []
    for ref, role in board.of_type(NpnSink):
        if board.drive[role.drive].chip in chips:
            made.append((role.load[0], f"{ref} base", situation.quantity(ref, "base_current_max")))
    for ref, led in board.of_type(Indicator):
        if led.drive is not None and board.drive[led.drive].chip in chips:
            made.append((ref, ref, situation.quantity(ref, "current_max")))
    return made


def rail_items(situation: "Situation", name: str, peaks: bool = True) -> list[Item]:
    """Every current out of a rail, with its owner."""
    board, rail = situation.board, situation.board.rail[name]
    made: list[Item] = []
    for load in situation.loads_on(name):
        made.append((load, load, peak(situation, load) if peaks else situation.load(load).largest))
    made += drive_items(situation, name)
    for ref, regulator in board.of_type(Regulator):
        if regulator.input == name:
            drawn = rail_current(situation, regulator.output)
            own = situation.quantity(ref, "iq_largest")
            made.append((ref, ref, combine(drawn.value + own.value, f"{ref}: {drawn.source} and its own", drawn, own)))
    for key in ("logic_current", "other_current"):
        span = getattr(rail, key)
        if span is not None:
            made.append((f"{name}.{key}", f"{name}.{key}", Fact(span.max, f"rail.{name}.{key}, largest")))
    return made


def rail_current(situation: "Situation", name: str) -> Fact:
    """Largest current out of a rail, of what may be on at once."""
    return total(((label, fact) for _, label, fact in at_once(situation, rail_items(situation, name))), "A")


def chip_current(situation: "Situation", chip: str) -> Fact:
    """Largest current of all outputs of a chip together."""
    board = situation.board
    made: list[Item] = []
    for ref, role in board.of_type(NpnSink):
        if board.drive[role.drive].chip == chip:
            made.append((role.load[0], f"{ref} base", situation.quantity(ref, "base_current_max")))
    for ref, led in board.of_type(Indicator):
        if led.drive is not None and board.drive[led.drive].chip == chip:
            made.append((ref, ref, situation.quantity(ref, "current_max")))
    return total(((label, fact) for _, label, fact in at_once(situation, made)), "A")


def return_loads(situation: "Situation", rail: str | None, loads: Iterable[str]) -> list[str]:
    """The loads whose current comes back through a return: those named, or all that a rail feeds."""
    named = list(loads)
    if rail is None or named:
        return named
    return [name for name in situation.loads_on(rail)]


def return_items(situation: "Situation", rail: str | None, loads: Iterable[str], peaks: bool) -> list[Item]:
    """Currents through a return; a whole rail's return carries its regulators and logic too."""
    named = list(loads)
    if rail is not None and not named:
        return rail_items(situation, rail, peaks)
    return [
        (name, name, peak(situation, name) if peaks else situation.load(name).largest) for name in named
    ]


def return_peak(situation: "Situation", rail: str | None, loads: Iterable[str]) -> Fact:
    """Largest momentary current through a return, for drops."""
    return total(((label, f) for _, label, f in at_once(situation, return_items(situation, rail, loads, True))), "A")


def return_heating(situation: "Situation", rail: str | None, loads: Iterable[str]) -> Fact:
    """Largest root-mean-square current through a return: chopped currents in phase, added before squaring."""
    counted = at_once(situation, return_items(situation, rail, loads, False))
    currents: list[float] = []
    duties: list[float] = []
    for owner, label, fact in counted:
        known = owner in situation.board.load or isinstance(situation.board.role.get(owner), Indicator)
        duty = situation.load(owner).duty[2] if known and label == owner else 1.0
        currents.append(fact.value)
        duties.append(duty)
    whole = total(((label, fact) for _, label, fact in counted), "A")
    if all(duty == 1.0 for duty in duties) or whole.value != whole.value:
        return whole
    return combine(float(waves.sum_rms_aligned(currents, duties)), f"r.m.s., in phase: {whole.source}", whole)


def all_load_peak(situation: "Situation") -> Fact:
    """Largest momentary current of everything that any switch of the board pulls to ground."""
    pulled = [load for _, role in situation.board.switches() for load in role.load]
    return total(
        ((label, f) for _, label, f in at_once(situation, ((n, n, peak(situation, n)) for n in pulled))), "A"
    )
