"""What must never happen while a switch is off or opens: clamps, what is left in a load, rails and pins."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from partcheck.board.roles import Clamp
from tests.circuit.measure import Measure, beside, driven
from tests.circuit.network import Network
from tests.circuit.solver import Seen

Array = NDArray[np.float64]
FOR_EVER = 0.002
"""A: a clamp that passes more than this long after its switch was opened, or while it is on, conducts for ever."""
LIT = 0.3
"""Share of the current that a load draws when on, above which it counts as still on."""


# ---- clamps


def clamps(seen: Seen) -> Iterator[Measure]:
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


def loads(seen: Seen) -> Iterator[Measure]:
    board, still = seen.wiring.board, seen.still
    for name, load in board.load.items():
        ref = board.switch_of(name)
        if ref is None:
            continue
        clamps = (f"{clamp}:leak|rail|back|fed|standoff|reverse" for clamp in board.clamps_of(name))
        # a rail that others lift is told as such, whatever then breaks down
        answers = (*driven(board, ref), *clamps, f"rail {load.rail}:back-feed")
        off = ~still.state.on[ref]
        current = np.maximum(np.where(off, _through(still.net, name), 0.0), _through(seen.rested.net, name))
        if load.off_leakage is not None:
            yield Measure("current when off", name, current / load.off_leakage, answers)
        limit = getattr(load, "reverse_limit", None)
        if limit is not None:
            nets = (still.net, seen.opening.net, seen.rested.net)
            back = -np.min([net.volt(f"load {name} +") - net.volt(f"load {name} -") for net in nets], axis=0)
            yield Measure("load backwards", name, back / limit, (ref, f"load {name}", *board.clamps_of(name)))
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


def supplies(seen: Seen) -> Iterator[Measure]:
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
