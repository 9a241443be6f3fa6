"""What the values of a board must obey beside each other: a value that contradicts its neighbours is refused.

Each rule is a generator of (path, sentence); it asks only what the file itself decides. What rests on a part (the rail
that a regulator makes) is judged, not refused.
"""

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from partcheck.board.loads import AnyLoad, Capacitive, Coil, LedString, LogicInput, Motor, Resistive
from partcheck.board.roles import Indicator, Switch, Terminal
from partcheck.board.surroundings import Cable
from partcheck.physics import coils
from partcheck.units import Span, show

if TYPE_CHECKING:
    from partcheck.board.models import Board

Path = tuple[str | int, ...]
Problems = Iterator[tuple[Path, str]]
LEVEL_SLACK = 1.05
"""A stated high level may exceed the stated supply by so much: both are rounded (common practice)."""
CURRENT_SLACK = 1.1
"""A stated current may miss rail over resistance by so much: connections and rounding (common practice)."""
LEAST_PER_METRE = 0.05e-6
"""H/m: no pair of wires has less; coaxial cable has about five times as much (common practice, no published source)."""


def contradictions(board: "Board") -> Problems:
    """Every value that contradicts another of the same file."""
    yield from _surroundings(board)
    yield from _rails(board)
    yield from _drives(board)
    for name in board.load:
        yield from _of_load(board, name)
    yield from _chopping(board)
    for ref in board.role:
        yield from _place(board, ref)


def contradictions_of(board: "Board", paths: Iterable[tuple[str, ...]]) -> Problems:
    """Those that other values at some paths can bring about, on a board that has none without them.

    The rules of a load ask for itself, its rail and the surroundings, those of a place for itself, its rail and drive.
    """
    listed = list(paths)
    if any(path[0] not in ("load", "role") or "chopped" in path for path in listed):
        yield from contradictions(board)
        return
    for table, name in dict.fromkeys(path[:2] for path in listed):
        yield from _of_load(board, name) if table == "load" else _place(board, name)


# ---- supplies and signals


def _surroundings(board: "Board") -> Problems:
    around, spare = board.surroundings, board.replacement_resistor
    if around.copper is not None and around.copper < around.ambient.max:
        yield (
            ("surroundings", "copper"),
            f"board copper of {show(around.copper, '°C')} is cooler than the hottest ambient, "
            f"{show(around.ambient.max, '°C')}; state the hottest copper",
        )
    if spare.full_power_to >= spare.no_power_at:
        yield ("replacement_resistor", "full_power_to"), _derating(spare.full_power_to, spare.no_power_at, "")


def _derating(full: float, none: float, prefix: str) -> str:
    return (
        f"{prefix}full_power_to {show(full, '°C')} is not below {prefix}no_power_at {show(none, '°C')}; "
        "power falls from the one to the other, so state both"
    )


def _rails(board: "Board") -> Problems:
    for name, rail in board.rail.items():
        lost, volts = rail.protection_drop, rail.voltage
        if volts is not None and lost is not None and lost.max >= volts.min:
            yield (
                ("rail", name, "protection_drop"),
                f"a drop of {show(lost.max, 'V')} leaves nothing of the least voltage, {show(volts.min, 'V')}",
            )
        if rail.feed is not None:
            yield from _cable(("rail", name, "feed"), rail.feed)


def _cable(path: Path, cable: Cable) -> Problems:
    if cable.inductance is None:
        return
    least = LEAST_PER_METRE * cable.length
    if cable.inductance.max < least:
        yield (
            (*path, "inductance"),
            f"{show(cable.inductance.max, 'H')} is less than any {show(cable.length, 'm')} of cable has "
            f"({show(least, 'H')}); state the whole loop's inductance",
        )


def _drives(board: "Board") -> Problems:
    for name, drive in board.drive.items():
        if drive.high.min <= drive.low.max:
            yield (
                ("drive", name, "high"),
                f"the least high level {show(drive.high.min, 'V')} is not above the largest low level "
                f"{show(drive.low.max, 'V')} (low); such a drive turns nothing on",
            )
        chip = board.chip.get(drive.chip or "")
        rail = board.rail.get(chip.supply or "") if chip is not None else None
        most = rail.voltage.max if rail is not None and rail.voltage is not None else None
        if chip is not None and most is not None and drive.high.max > LEVEL_SLACK * most:
            yield (
                ("drive", name, "high"),
                f"{show(drive.high.max, 'V')} is more than the supply of its chip {drive.chip} can be: "
                f"{chip.supply} is {show(most, 'V')} at most; correct the level or the supply",
            )


def lacks_logic_current(board: "Board", name: str) -> bool:
    """True where a rail feeds logic, a chip or what it accepts being stated, and what that takes is not stated."""
    rail = board.rail[name]
    supplies = rail.accepts is not None or any(chip.supply == name for chip in board.chip.values())
    return supplies and rail.logic_current is None


# ---- loads


def _rail_span(board: "Board", load: AnyLoad) -> Span | None:
    rail = board.rail.get(load.rail)
    return rail.voltage if rail is not None else None


def drawn_by_resistance(board: "Board", load: AnyLoad) -> Span | None:
    """Least, usual and largest current of one, A, by its resistance at the rail's voltage; None where not decided."""
    rail, ohms = _rail_span(board, load), getattr(load, "resistance", None)
    if rail is None or ohms is None or not isinstance(load, Coil | Resistive | LedString):
        return None
    least, most = ohms.min, ohms.max
    if isinstance(load, Coil):
        span = load.winding_temperature or board.surroundings.ambient
        least, most = coils.winding_resistance(least, span.min), coils.winding_resistance(most, span.max)
    drop = Span(0.0, 0.0, 0.0)
    if isinstance(load, LedString):
        if load.forward_voltage is None:
            return None
        drop = load.forward_voltage
    low, middle, high = rail.min - drop.max, rail.typ - drop.typ, rail.max - drop.min
    return Span(max(low, 0.0) / most, max(middle, 0.0) / ohms.typ, max(high, 0.0) / least)


def largest_current(board: "Board", load: AnyLoad) -> float | None:
    """Largest current of one, A, as far as the file decides it."""
    if isinstance(load, Motor):
        return float(load.stall_current)
    if load.current is not None:
        return float(load.current.max)
    drawn = drawn_by_resistance(board, load)
    return drawn.max if drawn is not None else None


def _of_load(board: "Board", name: str) -> Problems:
    load = board.load[name]
    for key, message in _load(board, load):
        yield ("load", name, key), message
    if load.cable is not None:
        yield from _cable(("load", name, "cable"), load.cable)


def _load(board: "Board", load: AnyLoad) -> Iterator[tuple[str, str]]:
    yield from _edges(load)
    yield from _drops(board, load)
    yield from _leakage(board, load)
    yield from _currents(board, load)
    if isinstance(load, Coil):
        yield from _release(board, load)
    if isinstance(load, Motor):
        yield from _stall(board, load)
    if isinstance(load, Capacitive):
        yield from _recharging(load)


def _edges(load: AnyLoad) -> Iterator[tuple[str, str]]:
    if load.edge_limit is None:
        return
    if load.edge_least is not None and load.edge_least > load.edge_limit:
        yield (
            "edge_least",
            f"the shortest edge allowed, {show(load.edge_least, 's')}, is above the longest, edge_limit "
            f"{show(load.edge_limit, 's')}; nothing meets both",
        )
    if load.chopped is not None and load.edge_limit * load.chopped.frequency > 1:
        yield (
            "edge_limit",
            f"{show(load.edge_limit, 's')} is longer than a whole period of the chopping "
            f"({show(1 / load.chopped.frequency, 's')}); it would limit nothing",
        )


def _drops(board: "Board", load: AnyLoad) -> Iterator[tuple[str, str]]:
    rail = _rail_span(board, load)
    if rail is None:
        return
    limits = [("allowed_drop", load.allowed_drop)]
    if isinstance(load, LogicInput):
        limits.append(("low_level", load.low_level))
    for key, volts in limits:
        if volts is not None and volts >= rail.max:
            most = show(rail.max, "V")
            yield key, f"{show(volts, 'V')} limits nothing: the rail {load.rail} is {most} at most; state a smaller one"


def _leakage(board: "Board", load: AnyLoad) -> Iterator[tuple[str, str]]:
    largest = largest_current(board, load)
    if load.off_leakage is None or largest is None:
        return
    extra = load.extra_current.max if load.extra_current is not None else 0.0
    whole = largest * load.count + extra
    if load.off_leakage >= whole:
        yield (
            "off_leakage",
            f"{show(load.off_leakage, 'A')} is as much as it draws from the rail {load.rail} while on "
            f"({show(whole, 'A')}); state what it may see while off",
        )


def _currents(board: "Board", load: AnyLoad) -> Iterator[tuple[str, str]]:
    drawn = drawn_by_resistance(board, load)
    if load.current is None or drawn is None:
        return
    duty = load.chopped.duty.min if load.chopped is not None else 1.0  # chopped, the mean current may be stated
    if load.current.max * CURRENT_SLACK < drawn.min * duty or load.current.min > drawn.max * CURRENT_SLACK:
        yield (
            "current",
            f"{_range(load.current, 'A')} disagrees with the resistance: the rail {load.rail} drives "
            f"{_range(drawn, 'A')} through it; leave one of the two out, or correct it",
        )


def _range(span: Span, unit: str) -> str:
    return f"{show(span.min, unit)} to {show(span.max, unit)}"


def _release(board: "Board", load: Coil) -> Iterator[tuple[str, str]]:
    if load.release_level is None:
        return
    drawn = drawn_by_resistance(board, load)
    least = load.current.min if load.current is not None else drawn.min if drawn is not None else None
    if least is not None and load.release_level >= least:
        yield (
            "release_level",
            f"{show(load.release_level, 'A')} is not below its least current on the rail {load.rail}, "
            f"{show(least, 'A')}; it would never hold, so state the current at which it has let go",
        )


def _stall(board: "Board", load: Motor) -> Iterator[tuple[str, str]]:
    if load.stall_current < load.current.max:
        yield (
            "stall_current",
            f"{show(load.stall_current, 'A')} is below the running current {show(load.current.max, 'A')} (current); "
            "a held shaft draws more",
        )
    rail = _rail_span(board, load)
    if rail is None or load.resistance is None:
        return
    least = rail.max / load.resistance.max
    if load.chopped is not None:
        least = least * load.chopped.duty.max
    if load.stall_current * CURRENT_SLACK < least:
        yield (
            "stall_current",
            f"{show(load.stall_current, 'A')} disagrees with the resistance: the rail {load.rail} of "
            f"{show(rail.max, 'V')} drives at least {show(least, 'A')} through a held shaft; correct one of the two",
        )


def _recharging(load: Capacitive) -> Iterator[tuple[str, str]]:
    ohms, farads = load.series_resistance, load.capacitance
    if load.rate is not None and ohms is not None and farads is not None and load.rate * ohms.max * farads.max > 1:
        yield (
            "rate",
            f"{show(load.rate, '1/s')} leaves its capacitor less than the time in which it charges, series_resistance "
            f"times capacitance, {show(ohms.max * farads.max, 's')} at most; correct one of the three",
        )


def _chopping(board: "Board") -> Problems:
    """One drive has one signal: what it chops, it chops alike."""
    for drive in board.drive:
        # what two drives turn on and off may owe its chopping to the other
        stated = [(name, chopped) for name, chopped in board.chopped_on(drive) if len(board.drives_of(name)) == 1]
        for name, chopped in stated[1:]:
            other, first = stated[0]
            apart = chopped.duty.min > first.duty.max or chopped.duty.max < first.duty.min
            if chopped.frequency != first.frequency or apart:
                yield (
                    ("load" if name in board.load else "role", name, "chopped"),
                    f"the drive {drive} chops {other} as well, and otherwise; one drive has one frequency and one "
                    "duty, so state the same for both",
                )


# ---- places


def _place(board: "Board", ref: str) -> Problems:
    role = board.role[ref]
    if isinstance(role, Indicator):
        for key, message in _indicator(board, role):
            yield ("role", ref, key), message
    elif isinstance(role, Switch):
        if role.resistor_full_power_to >= role.resistor_no_power_at:
            told = _derating(role.resistor_full_power_to, role.resistor_no_power_at, "resistor_")
            yield ("role", ref, "resistor_full_power_to"), told
    elif isinstance(role, Terminal):
        gap, pitch = role.spacing, role.pitch
        if gap is not None and pitch is not None and gap >= pitch:
            yield (
                ("role", ref, "spacing"),
                f"a gap of {show(gap, 'm')} between poles at a pitch of {show(pitch, 'm')} leaves no metal; "
                "state the gap",
            )


def _indicator(board: "Board", led: Indicator) -> Iterator[tuple[str, str]]:
    full, none = led.resistor_full_power_to, led.resistor_no_power_at
    if full >= none:
        yield "resistor_full_power_to", _derating(full, none, "resistor_")
    if led.dark_current is not None and led.least_current is not None and led.dark_current >= led.least_current:
        yield (
            "dark_current",
            f"{show(led.dark_current, 'A')} is not below least_current, {show(led.least_current, 'A')}; at one current "
            "it cannot look both dark and lit",
        )
    feed = _feed(board, led)
    if led.switch_voltage is not None and feed is not None and led.switch_voltage.max >= feed:
        yield (
            "switch_voltage",
            f"a drop of {show(led.switch_voltage.max, 'V')} leaves nothing of what feeds it, {show(feed, 'V')} at most",
        )


def _feed(board: "Board", led: Indicator) -> float | None:
    """Highest voltage that feeds an indicator, V, as far as the file decides it."""
    drive, rail = board.drive.get(led.drive or ""), board.rail.get(led.rail or "")
    if drive is not None:
        return float(drive.high.max)
    return float(rail.voltage.max) if rail is not None and rail.voltage is not None else None
