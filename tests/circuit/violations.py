"""What must never happen to a place that is told meets or tight, read from what was simulated.

Each measure is a share of what is allowed, over all points: above 1 is a violation. It names the places that answer for
it; where one of them is not told meets or tight, the user has been warned.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from partcheck.board.loads import Capacitive, Coil, Lamp, LogicInput
from partcheck.board.models import Board
from partcheck.board.roles import Indicator, MosfetSwitch, NpnSink
from tests.circuit import offs
from tests.circuit.copper import conductors
from tests.circuit.devices import T25
from tests.circuit.heat import junctions
from tests.circuit.measure import Measure, driven, upstream
from tests.circuit.solver import Seen
from tests.circuit.strays import stray_peaks

Array = NDArray[np.float64]
CARRIES = "on-drop|saturation|^gain|fully-on|gate-threshold|junction-rise"
"""What of a switch speaks of its drop."""
FED_BACK = ("rail lifted", "absent rail fed", "clamp conducts for ever", "stays on", "current when off")
"""Where one of these is violated, too much current and heat elsewhere are its consequence, and are not looked at."""


def measures(seen: Seen) -> Iterator[Measure]:
    """Everything that is looked at on one board."""
    settled = seen.still.net.settled & seen.opening.net.settled & seen.rested.net.settled
    made = [
        *_switches(seen),
        *_indicators(seen),
        *offs.clamps(seen),
        *offs.loads(seen),
        *offs.supplies(seen),
        *_heat(seen),
        *_copper(seen),
    ]
    fed_back = np.any([one.share > 1 for one in made if one.kind in FED_BACK], axis=0)
    for one in made:
        counts = settled & np.isfinite(one.share)
        if one.kind not in (*FED_BACK, "LED backwards"):
            counts = counts & ~fed_back
        yield Measure(one.kind, one.ref, np.where(counts, one.share, 0.0), one.answers)


def _heat(seen: Seen) -> Iterator[Measure]:
    for rise in junctions(seen):
        coldest = seen.wiring.board.surroundings.ambient.min
        answers = driven(seen.wiring.board, rise.ref) if rise.ref in dict(seen.wiring.board.switches()) else (rise.ref,)
        yield Measure("junction", rise.ref, (rise.peak - coldest) / (rise.limit - coldest), answers)


def _copper(seen: Seen) -> Iterator[Measure]:
    """Currents of wires and poles; a wrong rail voltage is a matter of its own."""
    for carried in conductors(seen):
        yield Measure("wire or pole", carried.ref, carried.current / np.maximum(carried.allowed, 1e-6), (carried.ref,))


# ---- switches


def _switches(seen: Seen) -> Iterator[Measure]:
    board, still, opening = seen.wiring.board, seen.still, seen.opening
    strays = stray_peaks(seen)
    for ref, _ in board.switches():
        part = seen.wiring.parts[ref]
        peak = np.maximum(still.net.across(f"{ref} channel"), opening.net.across(f"{ref} channel"))
        rating = part.number("vds_max") if ref in seen.wiring.mosfets else part.number("vceo")
        avalanche = ref in seen.wiring.mosfets and (part.number("ear") > 0 or part.number("eas") > 0)
        if not avalanche:
            yield Measure("drain voltage", ref, np.maximum(peak, strays.get(ref, 0.0)) / rating, (ref,))
        else:
            yield from _avalanche(seen, ref)
        current = still.net.currents[f"{ref} channel"]
        pulse = _starting(seen, ref)
        if ref in seen.wiring.npns:
            yield Measure("collector current", ref, np.where(pulse, 0.0, current) / part.number("ic_max"), (ref,))
        else:
            rows = [(r.temperature, r.max) for r in part.table("id_max").rows() if r.reference == 1]
            if rows:
                allowed = np.interp(seen.wiring.ambient, *zip(*rows, strict=True))
                yield Measure("drain current", ref, np.where(pulse, 0.0, current) / allowed, (ref,))
        yield from _resistors(seen, ref)
        yield from _pulses(seen, ref, np.where(pulse, current, 0.0))
        yield from _drops(seen, ref, pulse)


def _resistors(seen: Seen, ref: str) -> Iterator[Measure]:
    """Heat of the base resistor or of the pull-down, against its rating in the air that there is."""
    role, net, draws = seen.wiring.board.role[ref], seen.still.net, seen.wiring.draws
    if isinstance(role, NpnSink):
        rating, watts = (
            role.base_resistor_power,
            net.currents[f"{ref} base"] ** 2 * draws.of(f"{ref} base resistor", role.base_resistor),
        )
    else:
        assert isinstance(role, MosfetSwitch)
        name = f"{ref} pulldown"
        rating, watts = role.pulldown_power, net.across(name) * net.currents[name]
    if rating is not None:
        span = role.resistor_no_power_at - role.resistor_full_power_to
        left = np.clip((role.resistor_no_power_at - seen.wiring.ambient) / span, 0.0, 1.0) * rating
        yield Measure("small resistor", ref, watts / np.maximum(left, 1e-9), (f"{ref}:power",))


def _pulses(seen: Seen, ref: str, current: Array) -> Iterator[Measure]:
    """What a start draws, against the pulse current of the part for the shortest stated pulse."""
    part = seen.wiring.parts[ref]
    if ref in seen.wiring.npns:
        rated = max(part.number("icm"), part.number("ic_max"))
    else:
        rated = max((row.max for row in part.table("idm").rows()), default=float("nan"))
    yield Measure("pulse current", ref, current / rated, (ref,))


def _avalanche(seen: Seen, ref: str) -> Iterator[Measure]:
    """Energy and current of a switch in breakdown against its ratings, the single-pulse one brought to its heat."""
    part, current = seen.wiring.parts[ref], seen.opening.net.currents[f"{ref} breakdown"]
    if part.number("ias") > 0:
        yield Measure("avalanche current", ref, current / part.number("ias"), (ref,))
    allowed = part.number("ear") + np.zeros(seen.wiring.draws.size)
    if not part.number("ear") > 0:
        warm = seen.still.state.temperature.get(ref, seen.wiring.ambient)
        left = np.clip((part.number("tj_max") - warm) / (part.number("tj_max") - T25), 0.0, 1.0)
        allowed = part.number("eas") * left**2
    if ref in seen.energy:
        yield Measure("avalanche energy", ref, seen.energy[ref] / np.maximum(allowed, 1e-12), (ref,))


def _starting(seen: Seen, ref: str) -> NDArray[np.bool_]:
    """Where a lamp on this switch is cold, a motor stalled, or a capacitor empty."""
    loads = seen.wiring.board.role[ref].load  # type: ignore[union-attr]
    made = [seen.still.state.starting[name] for name in loads if name in seen.still.state.starting]
    return np.any(made, axis=0) if made else np.zeros(seen.wiring.draws.size, bool)


def _lamp_starts(seen: Seen) -> NDArray[np.bool_]:
    short = [name for name, load in seen.wiring.board.load.items() if isinstance(load, Lamp | Capacitive)]
    made = [starts for name, starts in seen.still.state.starting.items() if name in short]
    return np.any(made, axis=0) if made else np.zeros(seen.wiring.draws.size, bool)


def _working(seen: Seen, ref: str) -> NDArray[np.bool_]:
    """Where a switch is on, no lamp starts and no supply is absent."""
    gone = list(seen.still.state.absent.values())
    return seen.still.state.on[ref] & ~_lamp_starts(seen) & ~(np.any(gone, axis=0) if gone else False)


def _drops(seen: Seen, ref: str, pulse: NDArray[np.bool_]) -> Iterator[Measure]:
    board, net = seen.wiring.board, seen.still.net
    working = _working(seen, ref)
    drop = net.across(f"{ref} channel")
    answers = (f"{ref}:{CARRIES}", *driven(board, ref)[1:])
    for name in board.role[ref].load:  # type: ignore[union-attr]
        load = board.load.get(name)
        if load is None:
            continue
        if load.allowed_drop is not None:
            yield Measure("drop of the switch", name, np.where(working, drop, 0.0) / load.allowed_drop, answers)
        if load.least_voltage is not None:
            over = net.volt(f"load {name} +") - net.volt(f"load {name} -")
            # a coil pulls in by its current: its voltage is stated for the winding at 20 °C
            hot = seen.wiring.winding_factor(name) if isinstance(load, Coil) else 1.0
            share = np.where(working, load.least_voltage * hot / np.maximum(over, 1e-3), 0.0)
            ways = (f"cable {name}:drop|least-voltage", f"load {name}", *upstream(board, load.rail))
            yield Measure("least voltage", name, share, (*answers, *ways, *_path(board, name)))
        if isinstance(load, LogicInput) and load.low_level is not None:
            low = np.where(working, net.volt(f"load {name} -") - net.volt(f"return {ref}"), 0.0)
            yield Measure("low level", name, low / load.low_level, answers)


def _path(board: Board, name: str) -> tuple[str, ...]:
    """Terminals and tracks that a load's current takes."""
    rail = board.load[name].rail
    poles = [
        ref
        for ref, role in board.role.items()
        if role.role == "terminal" and any(name in pole.load or pole.rail == rail for pole in role.poles)
    ]
    return (
        *poles,
        *(f"track {track}" for track, made in board.track.items() if name in made.load or made.rail == rail),
    )


# ---- indicators


def _indicators(seen: Seen) -> Iterator[Measure]:
    board, still, opening, wiring = seen.wiring.board, seen.still, seen.opening, seen.wiring
    strays = stray_peaks(seen)
    for ref, role in board.of_type(Indicator):
        part = wiring.parts[ref]
        if part.number("vr_max") == part.number("vr_max"):
            backwards = -np.min([net.across(f"{ref} led") for net in (still.net, opening.net, seen.rested.net)], axis=0)
            yield Measure("LED backwards", ref, backwards / part.number("vr_max"), (ref,))
            if role.switch in strays and role.rail is not None:
                spike = strays[role.switch] - still.net.volt(f"rail {role.rail}")
                yield Measure("LED backwards in a spike", ref, spike / part.number("vr_max"), (ref,))
        current = still.net.currents[f"{ref} led"]
        rows = [(row.temperature, row.max) for row in part.table("if_max").rows()]
        if rows:
            allowed = np.interp(wiring.ambient, *zip(*rows, strict=True))
            largest = np.maximum(current, opening.net.currents[f"{ref} led"])
            yield Measure("LED current", ref, largest / allowed, (f"{ref}:forward-current",))
        if role.least_current is not None:
            lit = _lit(seen, ref, role)
            fed = upstream(board, role.rail) if role.rail is not None else _pin(board, role.drive)
            feeds = driven(board, role.switch) if role.switch is not None else ()
            least = np.where(lit, role.least_current / np.maximum(current, 1e-9), 0.0)
            carries = (f"{role.switch}:{CARRIES}", *feeds[1:]) if role.switch is not None else ()
            yield Measure("LED too dark", ref, least, (f"{ref}:least-current", *fed, *carries))
        if role.resistor_power is not None:
            heat = still.net.across(f"{ref} resistor") * still.net.currents[f"{ref} resistor"]
            span = role.resistor_no_power_at - role.resistor_full_power_to
            left = np.clip((role.resistor_no_power_at - wiring.ambient) / span, 0.0, 1.0) * role.resistor_power
            yield Measure("LED resistor", ref, heat / np.maximum(left, 1e-9), (ref,))


def _pin(board: Board, name: str) -> tuple[str, ...]:
    chip = board.drive[name].chip
    return (f"chip {chip}", *upstream(board, board.chip[chip].supply)) if chip in board.chip else ()


def _lit(seen: Seen, ref: str, role: Indicator) -> NDArray[np.bool_]:
    """Where an indicator is meant to be lit."""
    size = seen.wiring.draws.size
    lit = _working(seen, role.switch) if role.switch is not None else ~_lamp_starts(seen) & np.ones(size, bool)
    gone = list(seen.still.state.absent.values())
    lit = lit & ~(np.any(gone, axis=0) if gone else np.zeros(size, bool))
    if role.drive is not None:
        on = seen.still.state.on[f"drive {role.drive}"]
        for other, place in seen.wiring.board.switches():
            on = on | (seen.still.state.on[other] & (place.drive == role.drive))
        lit = lit & on
    return lit
