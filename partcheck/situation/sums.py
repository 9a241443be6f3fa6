"""What sums where: rails, regulators, chips, returns; of what may be on at once, the largest currents count."""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import combinations, product
from typing import TYPE_CHECKING, Any

from partcheck.board import Board
from partcheck.board.relations import LEVEL_SLACK, lacks_logic_current
from partcheck.board.roles import Indicator, MosfetSwitch, NpnSink, Regulator
from partcheck.board.surroundings import Chip
from partcheck.physics import waves
from partcheck.requirement import Fact
from partcheck.situation.drives import high_max
from partcheck.situation.facts import combine, total
from partcheck.situation.many import bounded_by, if_reaching, largest_of, many, sum_of
from partcheck.situation.profiles import CONDUCTOR_STILL, Layer, profile

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

MOST_CHOICES = 4096
"""So many ways of what is on at once are tried; with more, chopped currents count in full."""

Item = tuple[str, str, Fact]
"""Owner (the load or indicator that is on or off), label, amount."""


def at_once(situation: "Situation", items: Iterable[Item], on: str | None = None) -> list[Item]:
    """The items that count: of each ``at_once`` group, those of the owners with the largest totals together.

    What one drive turns on is on or off together, behind however many switches, and counts as often as the group names
    it; an indicator that the drive feeds goes with it. ``on`` is a load that is on in any case.
    """
    items = list(items)
    switch = situation.board.switched_by()
    totals: dict[str, float] = {}
    for owner, _, fact in items:
        value = fact.value if fact.value is not None and fact.value == fact.value else float("inf")
        unit = switch.get(owner, owner)
        totals[unit] = totals.get(unit, 0.0) + value
    off: set[str] = set()
    for sizes, most in _bound(situation, switch, set(totals), on):
        off |= set(sizes) - _largest(sizes, totals, most)
    return [item for item in items if switch.get(item[0], item[0]) not in off]


def sum_at_once(situation: "Situation", items: Iterable[Item], on: str | None = None) -> Fact:
    """The largest sum of what may be on at once, A; with ``on`` of what may be on beside that load."""
    items = list(items)
    if not any(many(fact.value) for _, _, fact in items):
        return total(((label, fact) for _, label, fact in at_once(situation, items, on)), "A")
    switch = situation.board.switched_by()
    totals: dict[str, Any] = {}
    for owner, _, fact in items:
        unit = switch.get(owner, owner)
        totals[unit] = totals.get(unit, 0.0) + (math.nan if fact.value is None else fact.value)
    free = dict(totals)
    sums: list[Any] = [0.0]
    for sizes, most in _bound(situation, switch, set(totals), on):
        for unit in sizes:
            free.pop(unit, None)
        sums.append(_largest_sum(sizes, totals, most))
    return combine(sum_of([*sums, *free.values()]), "", *(fact for _, _, fact in items))


def _largest_sum(sizes: dict[str, int], totals: dict[str, Any], most: int) -> Any:
    """As :func:`_largest`, the total itself, for many circuits at once; missing where one that may count is."""
    import numpy as np

    units = sorted(sizes)
    if not most:
        return 0.0
    best: list[Any] = [0.0] * (most + 1)
    for unit in units:
        size = max(1, min(sizes[unit], most))
        for room in range(most, size - 1, -1):
            best[room] = np.maximum(best[room], best[room - size] + totals[unit])
    return best[most]


def _bound(
    situation: "Situation", switch: Mapping[str, str], present: set[str], on: str | None = None
) -> Iterator[tuple[dict[str, int], int]]:
    """For each ``at_once`` group: the units that it binds, how often each counts, and how many it allows.

    What the load ``on`` hangs on is on in any case: it is not bound, and leaves the others so much less room.
    """
    bound: set[str] = set()
    for group in situation.board.at_once:
        sizes: dict[str, int] = {}
        for name in dict.fromkeys(group.of):
            unit = switch.get(name, name)
            # a switch named in two groups is bound by the first alone: that can only count more
            if unit not in bound and unit in present:
                sizes[unit] = sizes.get(unit, 0) + 1
        bound |= set(sizes)
        own = sizes.pop(switch.get(on, on), 0) if on is not None else 0
        yield sizes, max(0, group.most - own)


def _largest(sizes: dict[str, int], totals: dict[str, float], most: int) -> set[str]:
    """The units that give the largest total with no more than ``most`` in all (a knapsack)."""
    units = sorted(sizes)
    best = [(0.0, 0)] * (most + 1)
    for i, unit in enumerate(units):
        # a switch that pulls more than the group allows would never be on: it counts as what is allowed
        size = max(1, min(sizes[unit], most))
        for room in range(most, size - 1, -1):
            total_with, chosen = best[room - size][0] + totals[unit], best[room - size][1] | 1 << i
            if total_with > best[room][0]:
                best[room] = total_with, chosen
    return {unit for i, unit in enumerate(units) if best[most][1] >> i & 1}


def peak(situation: "Situation", name: str) -> Fact:
    """Largest current of a load at any moment: its inrush or stall where it has one."""
    state = situation.load(name)
    return state.inrush if state.inrush.value is not None else state.largest


def lasting(situation: "Situation", name: str) -> Fact:
    """Largest current of a load that warms what carries it: r.m.s. with its starts, a long one in full."""
    return profile(situation, name).lasting(CONDUCTOR_STILL)


def drive_items(situation: "Situation", drives: set[str], bounds: bool = False) -> list[Item]:
    """Currents that these drives deliver, owned by what they turn on.

    With ``bounds`` a base takes all that its resistor lets through, which does not rest on the part.
    """
    board = situation.board
    made: list[Item] = []
    for ref, switch in board.switches():
        if switch.drive not in drives:
            continue
        if isinstance(switch, NpnSink) and bounds:
            situation.reads_beside(ref)
            through = high_max(situation, switch.drive) / switch.base_resistor.min
            made.append((switch.load[0], f"{ref} base", Fact(through, f"{ref}.base_resistor")))
        elif isinstance(switch, NpnSink):
            made.append((switch.load[0], f"{ref} base", situation.quantity(ref, "base_current_max")))
        elif isinstance(switch, MosfetSwitch):
            made += _gate_items(situation, ref, switch)
    for ref, led in board.of_type(Indicator):
        if led.drive in drives:
            made.append((ref, ref, situation.quantity(ref, "current_max")))
    return made


def _gate_items(situation: "Situation", ref: str, switch: MosfetSwitch) -> list[Item]:
    """What a MOSFET takes from its drive: through the pull-down, and gate charge at every turn-on where it chops."""
    made: list[Item] = []
    owner, high = switch.load[0], high_max(situation, switch.drive)
    if switch.pulldown is not None:
        ohms = switch.pulldown.min
        situation.reads_beside(ref)
        if switch.pulldown_side == "gate" and switch.gate_resistor is not None:
            ohms = ohms + switch.gate_resistor.min
        made.append((owner, f"{ref} pull-down", Fact(high / ohms, f"{ref}.pulldown")))
    often = situation.facts(ref)["switch_frequency"]
    if many(often.value) or often.value:
        made.append((owner, f"{ref} gate", _charging(situation, ref, switch, often)))
    return made


def _charging(situation: "Situation", ref: str, switch: MosfetSwitch, often: Fact) -> Fact:
    """Average current into a gate, A; without its charge what the drive lets through its resistors, never more."""
    charge = situation.quantity(ref, "qg_max")
    made = combine(charge.value * often.value, f"{charge.source} · {often.source}", charge)
    drive = situation.board.drive[switch.drive]
    ohms = drive.source_resistance.min if drive.source_resistance is not None else 0.0
    ohms = ohms + (switch.gate_resistor.min if switch.gate_resistor is not None else 0.0)
    if not many(ohms) and not ohms > 0:
        return made
    most = Fact(high_max(situation, switch.drive) / ohms)
    return bounded_by(made, most, f"{ref} at most drive over gate resistor", charge.missing or (f"{ref}: qg_max",))


def rail_items(situation: "Situation", name: str, peaks: bool = True) -> list[Item]:
    """Every current out of a rail, with its owner; what a regulator makes of it passes through one to one.

    A base counts with all that its resistor lets through: what it takes exactly rests on its junction, on the least
    level of its drive, and so on this rail itself.
    """

    def find() -> list[Item]:
        return [*_stated_items(situation, name, peaks), *_unplaced_items(situation, name)]

    made: list[Item] = situation.once(("items", name, "peaks" if peaks else "lasting"), find)
    return made


def _drives_of(board: Board, wanted: Callable[[Chip | None], bool]) -> set[str]:
    """The drives whose chip, None where none is stated, is wanted."""
    return {name for name, drive in board.drive.items() if wanted(board.chip.get(drive.chip or ""))}


def _unplaced_items(situation: "Situation", name: str) -> list[Item]:
    """Currents of drives of which the board does not say what supplies them: any rail as high as their level may."""
    board, volts = situation.board, situation.rail(name).largest
    made: list[Item] = []
    for drive in sorted(_drives_of(board, lambda chip: chip is None or chip.supply is None)):
        chip, high = board.drive[drive].chip, board.drive[drive].high.max / LEVEL_SLACK
        unsaid = f"drive.{drive}.chip" if chip is None else f"chip.{chip}.supply"
        for owner, label, fact in drive_items(situation, {drive}, bounds=True):
            counted = combine(
                if_reaching(fact.value, volts.value, high), f"{fact.source}, as {unsaid} is not stated", fact
            )
            made.append((owner, f"{label} ({unsaid} is not stated)", counted))
    return made


def _stated_items(situation: "Situation", name: str, peaks: bool) -> list[Item]:
    """Those of which the board says that they come out of this rail."""
    board, rail = situation.board, situation.board.rail[name]
    drawn = peak if peaks else lasting
    made: list[Item] = [(load, load, drawn(situation, load)) for load in situation.loads_on(name)]
    made += drive_items(
        situation, _drives_of(board, lambda chip: chip is not None and chip.supply == name), bounds=True
    )
    for ref, regulator in board.of_type(Regulator):
        if regulator.input == name:
            made += _stated_items(situation, regulator.output, peaks)
            own, divider = (situation.quantity(ref, q) for q in ("iq_largest", "divider_current"))
            made.append((ref, f"{ref} itself", combine(own.value + divider.value, ref, own, divider)))
    for key in ("logic_current", "other_current"):
        span = getattr(rail, key)
        if span is not None:
            made.append((f"{name}.{key}", f"{name}.{key}", Fact(span.max, f"rail.{name}.{key}, largest")))
        elif key == "logic_current" and lacks_logic_current(board, name):
            made.append((f"{name}.{key}", f"{name}.{key}", Fact(math.nan, "", (f"rail.{name}.{key}",))))
    return made


def rail_current(situation: "Situation", name: str) -> Fact:
    """Largest current out of a rail, of what may be on at once."""
    return sum_at_once(situation, rail_items(situation, name))


def chip_current(situation: "Situation", chip: str) -> Fact:
    """Largest current of all outputs of a chip together; a drive of no stated chip may be one of its own."""
    drives = {name for name, drive in situation.board.drive.items() if drive.chip in (chip, None)}
    return sum_at_once(situation, drive_items(situation, drives))


def return_loads(situation: "Situation", rail: str | None, loads: Iterable[str]) -> list[str]:
    """The loads whose current comes back through a return: those named, or all that a rail feeds."""
    named = list(loads)
    if rail is None or named:
        return named
    return situation.loads_on(rail)


def return_items(situation: "Situation", rail: str | None, loads: Iterable[str], peaks: bool) -> list[Item]:
    """Currents through a return; a whole rail's return carries its regulators and logic too."""
    named = list(loads)
    if rail is not None and not named:
        return rail_items(situation, rail, peaks)
    return [(name, name, peak(situation, name) if peaks else lasting(situation, name)) for name in named]


def return_peak(situation: "Situation", rail: str | None, loads: Iterable[str]) -> Fact:
    """Largest momentary current through a return, for drops."""
    return sum_at_once(situation, return_items(situation, rail, loads, True))


def return_heating(situation: "Situation", rail: str | None, loads: Iterable[str]) -> Fact:
    """Largest root-mean-square current through a return: chopped currents in phase, added before squaring."""
    items = return_items(situation, rail, loads, False)
    layers = {id(item): _layers(situation, item) for item in items}
    whole = sum_at_once(situation, items)
    if all(map(_without_a_break, layers.values())) or (not many(whole.value) and whole.value != whole.value):
        return whole
    choices = _choices(situation, items)
    if choices is None:
        return whole

    def effective(counted: list[Item]) -> Any:
        stacked = [layer for item in counted for layer in layers[id(item)]]
        return waves.sum_rms_aligned([current for current, _ in stacked], [share for _, share in stacked])

    if many(whole.value):
        return combine(largest_of(map(effective, choices)), "", whole)

    # a small current without a break may warm more than a large one that is chopped: every choice is tried
    worst = max(choices, key=effective)
    source = total(((label, fact) for _, label, fact in worst), "A").source
    return combine(effective(worst), f"r.m.s., in phase, over periods of at most 1 s: {source}", whole)


def _layers(situation: "Situation", item: Item) -> list[Layer]:
    owner, label, fact = item
    known = owner in situation.board.load or isinstance(situation.board.role.get(owner), Indicator)
    return profile(situation, owner).layers(CONDUCTOR_STILL) if known and label == owner else [(fact.value, 1.0)]


def _without_a_break(layers: list[Layer]) -> bool:
    return len(layers) == 1 and not many(layers[0][1]) and bool(layers[0][1] == 1.0)


def _choices(situation: "Situation", items: list[Item]) -> list[list[Item]] | None:
    """Every choice of items that ``at_once`` lets be on together; None where there are too many to try."""
    switch = situation.board.switched_by()
    present = {switch.get(owner, owner) for owner, _, _ in items}
    groups = list(_bound(situation, switch, present))
    if math.prod(2 ** len(sizes) for sizes, _ in groups) > MOST_CHOICES:
        return None
    ways = [
        [
            set(off)
            for n in range(len(sizes) + 1)
            for off in combinations(sorted(sizes), n)
            if _fits(sizes, set(off), most)
        ]
        for sizes, most in groups
    ]
    offs = [set().union(*chosen) for chosen in product(*ways)]
    return [[item for item in items if switch.get(item[0], item[0]) not in off] for off in offs]


def _fits(sizes: dict[str, int], off: set[str], most: int) -> bool:
    """True where what is left on is no more than allowed; a unit larger than that counts as what is allowed."""
    return sum(max(1, min(size, most)) for unit, size in sizes.items() if unit not in off) <= most


def all_load_peak(situation: "Situation") -> Fact:
    """Largest momentary current of everything that any switch of the board pulls to ground."""
    pulled = [load for _, role in situation.board.switches() for load in role.load]
    return sum_at_once(situation, [(n, n, peak(situation, n)) for n in pulled])
