"""Junctions over time: thermal ladders inside the datasheet, and what a load's starts and chopping do to them.

A ladder is a sum of R (1 - exp(-t/τ)); its end is the thermal resistance of the place, and no stated pulse response is
exceeded. Where none is stated, it answers at once, or slowly, or anything between.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from partcheck.board.loads import Capacitive, Chopped, Coil, Lamp, Motor
from partcheck.board.models import Board
from partcheck.board.roles import Clamp, Indicator
from tests.circuit.devices import rows
from tests.circuit.solver import Seen, Solved, inductance, power, settle, theta
from tests.circuit.wiring import Wiring, regulators

Array = NDArray[np.float64]
FASTEST, SLOWEST = 1e-6, 1e3
FOR_EVER = 1e9
"""s"""
CHARGING = 0.25
"""Share of its time constant for which a charging capacitor counts with its first current: half of the heat there is."""


@dataclass
class Ladder:
    """Stages of a thermal path: resistance (K/W) and time constant (s), each at every point."""

    ohms: list[Array]
    times: list[Array]

    def steady(self) -> Array:
        """The end of its response."""
        return np.sum(self.ohms, axis=0)

    def response(self, time: float) -> Array:
        """Rise for 1 W after a time."""
        return np.sum([r * -np.expm1(-time / tau) for r, tau in zip(self.ohms, self.times, strict=True)], axis=0)

    def peak(self, low: Array, high: Array, length: Array, every: Array) -> Array:
        """Highest rise with a power that is ``high`` for a length once in each period, else ``low``.

        Each stage by itself, in its periodic state, at the end of the pulse; the stages' peaks fall together there.
        """
        made = np.zeros_like(low)
        for r, tau in zip(self.ohms, self.times, strict=True):
            reached = np.expm1(-length / tau) / np.expm1(-np.maximum(every, length) / tau)
            made = made + r * (low + (high - low) * reached)
        return made


def ladder(wiring: Wiring, ref: str) -> Ladder | None:
    """A thermal path of a place that obeys its part's datasheet; None where no resistance is stated."""
    draws, part = wiring.draws, wiring.parts[ref]
    end = theta(wiring.board, wiring.parts, ref)
    if end != end:
        return None
    whole = end * draws.between(f"{ref} theta", 0.6, 1.0)
    stated = rows(part, "zth", "pulse_width", "reference", "max") if part.kind in ("mosfet", "bjt", "diode") else []
    stated = [(t, z) for t, reference, z in stated if reference == 1]
    if not stated:
        share = draws.between(f"{ref} fast share", 0.2, 1.0)
        times = [draws.log_between(f"{ref} time {k}", FASTEST, SLOWEST) for k in (1, 2)]
        return Ladder([whole * share, whole * (1 - share)], times)
    made, before = Ladder([], []), np.zeros(draws.size)
    for k, (time, most) in enumerate(stated):
        reached = np.minimum(most, whole)
        made.ohms.append(np.maximum(reached - before, 0.0))
        made.times.append(time * draws.between(f"{ref} time {k}", 0.15, 0.6))
        before = np.maximum(before, reached)
    made.ohms.append(np.maximum(whole - before, 0.0))
    made.times.append(stated[-1][0] * draws.between(f"{ref} time last", 0.6, 20.0))
    over = np.max([made.response(time) / most for time, most in stated], axis=0)
    made.ohms = [ohms / np.maximum(over, 1.0) for ohms in made.ohms]
    return made


def chopping(board: Board, ref: str) -> Chopped | None:
    """How a switch is chopped: with whatever hangs on its drive."""
    drive = board.role[ref].drive  # type: ignore[union-attr]
    for role in (role for _, role in board.switches() if role.drive == drive):
        for name in role.load:
            thing = board.load.get(name) or board.role.get(name)
            if thing is not None and thing.chopped is not None:  # type: ignore[union-attr]
                return thing.chopped  # type: ignore[union-attr]
    return None


@dataclass
class Rise:
    """Highest junction temperature of a place."""

    ref: str
    peak: Array
    limit: float


def junctions(seen: Seen) -> Iterator[Rise]:
    """Every switch, LED and regulator with a stated thermal resistance."""
    wiring, board = seen.wiring, seen.wiring.board
    running = with_starts(seen, False)
    starting = with_starts(seen, True)
    for ref, _ in board.switches():
        path, limit = ladder(wiring, ref), wiring.parts[ref].number("tj_max")
        if path is not None and limit == limit:
            yield Rise(ref, _switch_peak(seen, ref, path, running, starting), limit)
    for ref, role in board.of_type(Clamp):
        path, limit = ladder(wiring, ref), wiring.parts[ref].number("tj_max")
        if path is not None and limit == limit:
            yield Rise(ref, wiring.ambient + path.steady() * _clamp_heat(seen, ref, role), limit)
    for ref, role in board.of_type(Indicator):
        path, limit = ladder(wiring, ref), wiring.parts[ref].number("tj_max")
        if path is not None and limit == limit:
            chopped = role.chopped or (chopping(board, role.switch) if role.switch is not None else None)
            yield Rise(ref, wiring.ambient + _chopped(path, power(running, ref), wiring, ref, chopped), limit)
    for ref, place in regulators(board).items():
        end, limit = theta(board, wiring.parts, ref), wiring.parts[ref].number("tj_max")
        if end == end and limit == limit:
            net = running.net
            load = np.maximum(-net.currents[f"rail {place.output} source"], 0.0)
            own = wiring.draws.between(f"{ref} quiescent", 0.0, np.nan_to_num(wiring.parts[ref].number("iq_max")))
            volts = net.volt(f"rail {place.input}")
            heat = np.maximum(volts - net.volt(f"rail {place.output}"), 0.0) * load + volts * own
            yield Rise(ref, wiring.ambient + heat * end * wiring.draws.between(f"{ref} theta", 0.6, 1.0), limit)


def _clamp_heat(seen: Seen, ref: str, role: Clamp) -> Array:
    """Average heat of a clamp: what it takes of each turn-off, how often it does, and what it leaks."""
    load = seen.wiring.board.load[role.load]
    leak = np.maximum(power(seen.still, ref), 0.0)
    switch = seen.wiring.board.switch_of(role.load)
    chopped = chopping(seen.wiring.board, switch) if switch is not None else None
    if chopped is None or switch is None:
        return leak + seen.energy.get(ref, 0.0) * (load.rate or 0.0)
    henries = inductance(seen.wiring, role.load)
    if henries is None:
        return leak
    ohms = seen.wiring.winding(role.load) if isinstance(load, Coil) else seen.wiring.motor_ohms(role.load)
    flowing = henries / ohms * chopped.frequency > 1.0
    duty = seen.wiring.draws.of(f"{switch} duty", chopped.duty)
    names = [f"{ref} {part}" for part in ("forward", "backward") if f"{ref} {part}" in seen.opening.net.elements]
    freely = np.sum([np.maximum(seen.opening.net.across(n) * seen.opening.net.currents[n], 0.0) for n in names], axis=0)
    share = 0.9 * (1 - duty) if isinstance(load, Coil) else 0.9 * duty * (1 - duty)
    return leak + np.where(flowing, freely * share, seen.energy.get(ref, 0.0) * chopped.frequency)


def with_starts(seen: Seen, starts: bool) -> Solved:
    """The same state with every lamp cold and every motor stalled, or none."""
    if starts not in seen.kept:
        size, was = seen.wiring.draws.size, seen.still.state
        state = replace(
            was, starting={name: np.full(size, starts) for name in was.starting}, temperature=dict(was.temperature),
            level=dict(was.level), lift=dict(was.lift), drawn=dict(was.drawn),
        )  # fmt: skip
        seen.kept[starts] = settle(seen.wiring, state, seen.still.net, 2) if was.starting else seen.still
    return seen.kept[starts]


def start_of(board: Board, names: list[str]) -> tuple[float, float]:
    """How long some loads start together, s (for ever where nothing is stated), and how often, 1/s.

    Of several that start, the shortest start counts: that long all of them draw what a start draws.
    """
    lengths, rate = [], 0.0
    for name in names:
        load = board.load.get(name)
        if isinstance(load, Lamp):
            lengths.append(load.inrush_time)
        elif isinstance(load, Motor):
            lengths.append(load.stall_time if load.stall_time is not None else FOR_EVER)
        elif isinstance(load, Capacitive) and load.capacitance is not None and load.series_resistance is not None:
            lengths.append(CHARGING * load.series_resistance.min * load.capacitance.max)
        if isinstance(load, Lamp | Motor | Capacitive) and load.rate is not None:
            rate = max(rate, load.rate)
    return min(lengths, default=0.0), rate


def _switch_peak(seen: Seen, ref: str, path: Ladder, running: Solved, starting: Solved) -> Array:
    wiring, draws = seen.wiring, seen.wiring.draws
    longest, rate = start_of(wiring.board, wiring.board.role[ref].load)  # type: ignore[union-attr]
    run, start = power(running, ref), power(starting, ref)
    length = np.full(draws.size, longest) * draws.between(f"{ref} start length", 0.5, 1.0)
    every = 1.0 / np.maximum(rate, 1.0 / FOR_EVER) + np.zeros(draws.size)
    chopped = chopping(wiring.board, ref)
    peak = wiring.ambient + path.steady() * run
    for _ in range(12):
        low = run * _hotter(seen, ref, running, wiring.ambient + path.steady() * run)
        high = start * _hotter(seen, ref, starting, (peak + wiring.ambient + path.steady() * low) / 2)
        if longest > 0:
            rise = path.peak(low, np.maximum(high, low), np.maximum(length, 1e-9), np.maximum(every, length))
        else:
            rise = path.steady() * low
        if chopped is not None:
            share = _share(seen, ref, chopped)
            rise = _chopped(path, rise / path.steady() * share, wiring, ref, chopped)
        peak = np.minimum(wiring.ambient + rise, 900.0)
    return peak


def _share(seen: Seen, ref: str, chopped: Chopped) -> Array:
    """Share of the direct current that a chopped motor or unclamped coil keeps, where its current flows on."""
    wiring, made = seen.wiring, np.ones(seen.wiring.draws.size)
    duty = wiring.draws.of(f"{ref} duty", chopped.duty)
    for name in wiring.board.role[ref].load:  # type: ignore[union-attr]
        load = wiring.board.load.get(name)
        henries = inductance(wiring, name) if load is not None else None
        if isinstance(load, Coil) and henries is not None and not any(True for _ in wiring.board.clamps_of(name)):
            slow = henries / (wiring.winding(name) / load.count) * chopped.frequency > 1.0
            made = np.where(slow, np.minimum(made, duty), made)
    return made


def _chopped(path: Ladder, heat: Array, wiring: Wiring, ref: str, chopped: Chopped | None) -> Array:
    """Highest rise with a power that is chopped."""
    if chopped is None:
        return path.steady() * heat
    every = np.full(wiring.draws.size, 1.0 / chopped.frequency)
    duty = np.maximum(wiring.draws.of(f"{ref} duty", chopped.duty), 1e-6)
    return path.peak(np.zeros_like(heat), heat, duty * every, every)


def _hotter(seen: Seen, ref: str, solved: Solved, temperature: Array) -> Array:
    """How much more a MOSFET drops at a temperature than where it was solved; a transistor's drop hardly moves."""
    if ref not in seen.wiring.mosfets:
        return np.ones_like(temperature)
    device = seen.wiring.mosfets[ref]
    was = solved.state.temperature.get(ref, seen.wiring.ambient)
    return device.factor(np.clip(temperature, 200.0, 480.0)) / device.factor(was)
