"""What must never happen to a place that is told meets or tight, read from what was simulated.

Each measure is a share of what is allowed, over all points: above 1 is a violation. It names the places that answer for
it; where one of them is not told meets or tight, the user has been warned.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partcheck.board.loads import Coil, Lamp, LogicInput
from partcheck.board.models import Board
from partcheck.board.roles import Clamp, Indicator
from tests.circuit.copper import conductors
from tests.circuit.devices import T25
from tests.circuit.heat import junctions
from tests.circuit.network import Network
from tests.circuit.solver import Seen

Array = NDArray[np.float64]
FOR_EVER = 0.002
"""A: a clamp that passes more than this long after its switch was opened, or while it is on, conducts for ever."""
CARRIES = "on-drop|saturation|^gain|fully-on|gate-threshold|junction-rise"
"""What of a switch speaks of its drop."""
LIT = 0.3
"""Share of the current that a load draws when on, above which it counts as still on."""

FED_BACK = ("rail lifted", "absent rail fed", "clamp conducts for ever", "stays on", "current when off")
"""Where one of these is violated, too much current and heat elsewhere are its consequence, and are not looked at."""


@dataclass(frozen=True)
class Measure:
    """One thing that must not go above 1."""

    kind: str
    ref: str
    share: Array
    answers: tuple[str, ...]


def measures(seen: Seen) -> Iterator[Measure]:
    """Everything that is looked at on one board."""
    settled = seen.still.net.settled & seen.opening.net.settled & seen.rested.net.settled
    made = [
        *_switches(seen),
        *_indicators(seen),
        *_clamps(seen),
        *_loads(seen),
        *_supplies(seen),
        *_heat(seen),
        *_copper(seen),
    ]
    fed_back = np.any([one.share > 1 for one in made if one.kind in FED_BACK], axis=0)
    for one in made:
        counts = settled & np.isfinite(one.share)
        if one.kind not in (*FED_BACK, "LED backwards"):
            counts = counts & ~fed_back
        yield Measure(one.kind, one.ref, np.where(counts, one.share, 0.0), one.answers)


def beside(board: Board, ref: str) -> tuple[str, ...]:
    """A switch with all that hangs on it: indicators, and the clamps of its loads and their cables."""
    loads = board.role[ref].load  # type: ignore[union-attr]
    clamps = [clamp for load in loads for clamp in board.clamps_of(load)]
    return (ref, *(name for name in loads if name in board.role), *clamps, *(f"cable {name}" for name in loads))


def upstream(board: Board, rail: str | None) -> tuple[str, ...]:
    """What stands between a rail and its source."""
    made: list[str] = []
    while rail is not None:
        made += [f"supply {rail}", f"feed {rail}"]
        regulator = board.rail[rail].regulator
        made += [regulator] if regulator is not None else []
        rail = board.role[regulator].input if regulator is not None else None  # type: ignore[union-attr]
    return tuple(made)


def _driven(board: Board, ref: str) -> tuple[str, ...]:
    """A switch and what feeds its drive."""
    chip = board.drive[board.role[ref].drive].chip  # type: ignore[union-attr,index]
    if chip is None:
        return (ref,)
    return (ref, f"chip {chip}", *upstream(board, board.chip[chip].supply))


def _heat(seen: Seen) -> Iterator[Measure]:
    for rise in junctions(seen):
        coldest = seen.wiring.board.surroundings.ambient.min
        driven = _driven(seen.wiring.board, rise.ref) if rise.ref in dict(seen.wiring.board.switches()) else (rise.ref,)
        yield Measure("junction", rise.ref, (rise.peak - coldest) / (rise.limit - coldest), driven)


def _copper(seen: Seen) -> Iterator[Measure]:
    """Currents of wires and poles; a wrong rail voltage is a matter of its own."""
    for carried in conductors(seen):
        yield Measure("wire or pole", carried.ref, carried.current / np.maximum(carried.allowed, 1e-6), (carried.ref,))


# ---- switches


def _switches(seen: Seen) -> Iterator[Measure]:
    board, still, opening = seen.wiring.board, seen.still, seen.opening
    for ref, _ in board.switches():
        part = seen.wiring.parts[ref]
        peak = np.maximum(still.net.across(f"{ref} channel"), opening.net.across(f"{ref} channel"))
        rating = part.number("vds_max") if ref in seen.wiring.mosfets else part.number("vceo")
        avalanche = ref in seen.wiring.mosfets and (part.number("ear") > 0 or part.number("eas") > 0)
        if not avalanche:
            yield Measure("drain voltage", ref, peak / rating, (ref,))
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
        yield from _drops(seen, ref, pulse)


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
    """Where a lamp on this switch is cold, or a motor stalled."""
    loads = seen.wiring.board.role[ref].load  # type: ignore[union-attr]
    made = [seen.still.state.starting[name] for name in loads if name in seen.still.state.starting]
    return np.any(made, axis=0) if made else np.zeros(seen.wiring.draws.size, bool)


def _lamp_starts(seen: Seen) -> NDArray[np.bool_]:
    made = [s for name, s in seen.still.state.starting.items() if isinstance(seen.wiring.board.load[name], Lamp)]
    return np.any(made, axis=0) if made else np.zeros(seen.wiring.draws.size, bool)


def _working(seen: Seen, ref: str) -> NDArray[np.bool_]:
    """Where a switch is on, no lamp starts and no supply is absent."""
    gone = list(seen.still.state.absent.values())
    return seen.still.state.on[ref] & ~_lamp_starts(seen) & ~(np.any(gone, axis=0) if gone else False)


def _drops(seen: Seen, ref: str, pulse: NDArray[np.bool_]) -> Iterator[Measure]:
    board, net = seen.wiring.board, seen.still.net
    working = _working(seen, ref)
    drop = net.across(f"{ref} channel")
    answers = (f"{ref}:{CARRIES}", *_driven(board, ref)[1:])
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
    for ref, role in board.of_type(Indicator):
        part = wiring.parts[ref]
        if part.number("vr_max") == part.number("vr_max"):
            backwards = -np.min([net.across(f"{ref} led") for net in (still.net, opening.net, seen.rested.net)], axis=0)
            yield Measure("LED backwards", ref, backwards / part.number("vr_max"), (ref,))
        current = still.net.currents[f"{ref} led"]
        rows = [(row.temperature, row.max) for row in part.table("if_max").rows()]
        if rows:
            allowed = np.interp(wiring.ambient, *zip(*rows, strict=True))
            largest = np.maximum(current, opening.net.currents[f"{ref} led"])
            yield Measure("LED current", ref, largest / allowed, (f"{ref}:forward-current",))
        if role.least_current is not None:
            lit = _lit(seen, ref, role)
            fed = upstream(board, role.rail) if role.rail is not None else _pin(board, role.drive)
            driven = _driven(board, role.switch) if role.switch is not None else ()
            least = np.where(lit, role.least_current / np.maximum(current, 1e-9), 0.0)
            carries = (f"{role.switch}:{CARRIES}", *driven[1:]) if role.switch is not None else ()
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


# ---- clamps


def _clamps(seen: Seen) -> Iterator[Measure]:
    board, still, opening = seen.wiring.board, seen.still, seen.opening
    for ref, role in board.of_type(Clamp):
        part = seen.wiring.parts[ref]
        name = f"{ref} forward"
        if role.conducts == "forward":
            backwards = -np.minimum(still.net.across(name), opening.net.across(name))
            yield Measure("diode backwards", ref, backwards / part.number("vrrm"), (ref,))
            if part.number("ifrm") == part.number("ifrm"):
                yield Measure("diode peak", ref, opening.net.currents[name] / part.number("ifrm"), (ref,))
        else:
            for key in ("repetitive_energy", "pulse_energy"):
                if part.number(key) > 0 and ref in seen.energy:
                    yield Measure("clamp energy", ref, seen.energy[ref] / part.number(key), (ref,))
        switch = board.switch_of(role.load)
        steady = [
            np.abs(net.currents[name] + net.currents.get(f"{ref} backward", 0.0))
            for net in (still.net, seen.rested.net)
        ]
        answers = beside(board, switch) if switch is not None else (ref,)
        yield Measure("clamp conducts for ever", ref, np.max(steady, axis=0) / FOR_EVER, answers)


# ---- loads


def _loads(seen: Seen) -> Iterator[Measure]:
    board, still = seen.wiring.board, seen.still
    for name, load in board.load.items():
        ref = board.switch_of(name)
        if ref is None:
            continue
        clamps = (f"{clamp}:leak|rail|back|fed|standoff|reverse" for clamp in board.clamps_of(name))
        answers = (*_driven(board, ref), *clamps)
        off = ~still.state.on[ref]
        current = np.maximum(np.where(off, _through(still.net, name), 0.0), _through(seen.rested.net, name))
        if load.off_leakage is not None:
            yield Measure("current when off", name, current / load.off_leakage, answers)
        yield Measure("stays on", name, current / (LIT * _usual(seen, name)), answers)
        if name in seen.release:
            share = seen.release[name] / load.release_time  # type: ignore[union-attr]
            clamps = (f"{clamp}:release" for clamp in board.clamps_of(name))
            yield Measure("release", name, np.where(seen.opened[ref], share, 0.0), (f"{ref}:release|back|fed", *clamps))


def _through(net: Network, name: str) -> Array:
    """Size of the current through a load, whatever sort it is."""
    return np.abs(
        net.currents[name] + net.currents.get(f"{name} pull-up", 0.0) + net.currents.get(f"{name} extra", 0.0)
    )


def _usual(seen: Seen, name: str) -> float:
    """Least current that a load draws when on."""
    load = seen.wiring.board.load[name]
    if load.current is not None:
        return float(load.current.min) * load.count
    volts = seen.wiring._rail_top(load.rail)
    if load.sort == "led-string":
        return max(volts - load.forward_voltage.max, 0.1) / load.resistance.max * load.count  # type: ignore[union-attr]
    return 0.8 * volts / load.resistance.max * load.count  # type: ignore[union-attr]


# ---- supplies and drives


def _supplies(seen: Seen) -> Iterator[Measure]:
    board, still, opening = seen.wiring.board, seen.still, seen.opening
    for name, rail in board.rail.items():
        volts = np.max([net.volt(f"rail {name}") for net in (still.net, opening.net, seen.rested.net)], axis=0)
        everyone = tuple(ref for ref in board.role) + tuple(f"supply {other}" for other in board.rail)
        gone = still.state.absent.get(name, np.zeros(volts.size, bool))
        top = (
            rail.voltage.max if rail.voltage is not None else seen.wiring.parts[str(rail.regulator)].number("v_out_max")
        )
        yield Measure("rail lifted", name, np.where(gone, 0.0, volts) / (top * 1.02), everyone)
        yield Measure("absent rail fed", name, np.where(gone, volts, 0.0) / 2.0, everyone)
    for name, drive in board.drive.items():
        chip = board.chip.get(drive.chip or "")
        limit = drive.pin_current or (chip.pin_current if chip is not None else None)
        if limit is not None:
            users = tuple(ref for ref, role in board.role.items() if getattr(role, "drive", None) == name)
            yield Measure(
                "pin", name, np.abs(still.net.currents[f"drive {name}"]) / limit, (*users, f"chip {drive.chip}")
            )
    if board.limits.ground_lift is not None:
        lift = np.abs(still.net.volt("return"))
        tracks = tuple(f"track {name}" for name in board.track)
        yield Measure("ground lift", "return", lift / board.limits.ground_lift, (*tracks, *board.role))
