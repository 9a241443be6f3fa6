"""A board as it is wired: from the board model and true devices to a network in one state.

Reference is the drives' ground. A supply comes through its source, protection diode and feed to the node ``rail NAME``;
a load goes from there through its poles and cable to the node ``drain REF``; the switch stands on ``return REF``.
"""

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.board.loads import Capacitive, Chopped, Coil, Lamp, LedString, LogicInput, Motor
from partcheck.board.models import Board
from partcheck.board.roles import Clamp, Indicator, MosfetSwitch, Regulator, Terminal
from partcheck.parts import Part
from tests.circuit.devices import Breakdown, Junction, Mosfet, leakage
from tests.circuit.draws import Draws
from tests.circuit.network import GROUND, Network, exponential, limited
from tests.circuit.transistor import Npn

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
COPPER, COPPER_TEMPCO = 1.72e-8, 0.00393
INDUCTANCE_PER_METRE = (0.4e-6, 0.9e-6)
"""H per metre of a pair of wires, loose to tight."""
FLOATING, LEAKS = 1e9, 1e-6
"""Ω and A: what ties an output that nothing drives, and what it leaks where the board states nothing."""


@dataclass
class State:
    """What is on, what is absent, and how hot each junction is; refined from one solution to the next."""

    on: dict[str, Bools]
    floating: dict[str, Bools] = field(default_factory=dict)
    absent: dict[str, Bools] = field(default_factory=dict)
    starting: dict[str, Bools] = field(default_factory=dict)
    temperature: dict[str, Array] = field(default_factory=dict)
    lift: dict[str, Array] = field(default_factory=dict)
    drawn: dict[str, Array] = field(default_factory=dict)
    level: dict[str, Array] = field(default_factory=dict)
    held: dict[str, Array] = field(default_factory=dict)
    moment: bool = False
    """True for a moment so short that no junction warms or cools."""


def copper(draws: Draws, name: str, length: float, area: float, temperature: Any) -> Array:
    """Resistance of a wire or track: stated least section, up to the largest that IEC 60228 allows."""
    ohms = draws.between(f"{name} copper", COPPER, COPPER * 1.12) * length / area
    return ohms * (1 + COPPER_TEMPCO * (temperature - 293.15))


class Wiring:
    """One board with its parts, wired anew for each state."""

    def __init__(self, board: Board, parts: dict[str, Part], draws: Draws) -> None:
        self.board, self.parts, self.draws = board, parts, draws
        around = board.surroundings.ambient
        self.ambient = draws.between("ambient", around.min, around.max)
        self.mosfets = {r: Mosfet(parts[r], draws, r) for r, role in board.switches() if isinstance(role, MosfetSwitch)}
        self.npns = {r: Npn(parts[r], draws, r) for r, role in board.switches() if not isinstance(role, MosfetSwitch)}
        self.junctions = {r: Junction(parts[r], draws, r) for r in board.role if parts[r].kind in ("led", "diode")}
        self.breakdowns = {
            r: Breakdown(parts[r], draws, r)
            for r, role in board.of_type(Clamp)
            if parts[r].number("vbr_min") == parts[r].number("vbr_min")
        }

    def network(self, state: State) -> Network:
        """The network of a state."""
        net = Network(self.draws.size)
        for name in self.board.rail:
            self._rail(net, name, state)
        for name in self.board.drive:
            self._drive(net, name, state)
        for name in self.board.load:
            self._load(net, name, state)
        net.resistor("ground", "return", GROUND, self._ground())
        for ref, role in self.board.role.items():
            if ref in self.mosfets or ref in self.npns:
                self._switch(net, ref, role, state)
            elif isinstance(role, Indicator):
                self._indicator(net, ref, role, state)
        for ref, role in self.board.of_type(Clamp):
            self._clamp(net, ref, role, state)
        return net

    # ---- supplies

    def _rail(self, net: Network, name: str, state: State) -> None:
        rail, draws, node = self.board.rail[name], self.draws, f"rail {name}"
        gone = state.absent.get(name, np.zeros(draws.size, bool))
        if rail.regulator is None:
            volts = np.where(gone, 0.0, draws.of(f"{node} volts", rail.voltage))
            shorted = draws.chance(f"{node} absent is low")
            ohms = np.where(gone & ~shorted, 1e6, draws.of(f"{node} ohms", rail.source_resistance) + 0.002)
            ohms = ohms + self._feed(name) + self._poles("supply", name) + self._poles("return", name)
            ohms = ohms + self._tracks(name, None)
            sinks = draws.chance(f"{node} sinks") | gone
            if rail.protection_drop is not None:
                net.source(f"{node} source", f"{node} source", volts, 0.002, sinks)
                drop = draws.of(f"{node} protection", rail.protection_drop)
                small = np.full(draws.size, 0.002)
                net.add(f"{node} protection", f"{node} source", f"{node} in", exponential(small, small, small, drop))
                net.resistor(f"{node} feed", f"{node} in", node, ohms)
            else:
                net.source(f"{node} source", node, volts, ohms, sinks)
        else:
            level = state.level.get(name, np.full(draws.size, 3.0))
            net.source(f"{node} source", node, level, 0.02, False)
        taken = draws.of(f"{node} logic", rail.logic_current) + draws.of(f"{node} other", rail.other_current)
        net.add(f"{node} taken", node, GROUND, limited(taken + state.drawn.get(name, 0.0) + 1e-9))

    def _feed(self, name: str) -> Array:
        rail, draws = self.board.rail[name], self.draws
        if rail.feed_resistance is not None:
            return draws.of(f"rail {name} feed", rail.feed_resistance)
        return self._cable(f"rail {name} feed", rail.feed) if rail.feed is not None else np.zeros(draws.size)

    def _cable(self, name: str, cable: Any) -> Array:
        warm = cable.temperature
        low, high = (warm.min, warm.max) if warm is not None else (self.ambient, self.ambient + 20)
        temperature = self.draws.between(f"{name} copper temperature", low, high)
        return copper(self.draws, name, cable.length * cable.legs, cable.wire, temperature)

    def _poles(self, side: str, name: str) -> Array:
        """Contact resistance of the poles of one side for a rail or load."""
        total = np.zeros(self.draws.size)
        for ref, role in self.board.of_type(Terminal):
            part = self.parts[ref]
            low, high = part.number("contact_resistance_min"), part.number("contact_resistance_max")
            for pole in role.poles:
                if pole.side == side and (pole.rail == name or name in pole.load) and high == high:
                    least = low if low == low else 0.2 * high
                    one = self.draws.between(f"{ref} contact {pole.pole}", least, high)
                    total = total + one / len(pole.pole)
        return total

    def _tracks(self, rail: str | None, load: str | None) -> Array:
        total = np.zeros(self.draws.size)
        for name, track in self.board.track.items():
            carries = track.rail == rail if rail is not None else load in track.load
            if carries and track.length is not None:
                warm = self.draws.between(f"track {name} warm", self.ambient, self.ambient + 20)
                total = total + copper(self.draws, f"track {name}", track.length, track.width * track.thickness, warm)
        return total

    def _ground(self) -> Array:
        return self.draws.between("ground ohms", 0.0, self.board.ground.resistance)

    # ---- drives

    def _drive(self, net: Network, name: str, state: State) -> None:
        drive, draws = self.board.drive[name], self.draws
        switches = [ref for ref, role in self.board.switches() if role.drive == name]
        on = state.on.get(f"drive {name}", np.zeros(draws.size, bool))
        for ref in switches:
            on = on | state.on[ref]
        high, low = draws.of(f"drive {name} high", drive.high), draws.of(f"drive {name} low", drive.low)
        ohms = draws.of(f"drive {name} ohms", drive.source_resistance)
        if drive.high_at:  # the stated level holds with that current
            high = high + ohms * drive.high_at * draws.share(f"drive {name} loaded")
        floating = state.floating.get(name, np.zeros(draws.size, bool))
        held = any(ref in self.mosfets for ref in switches)  # what leaks into a base is in its own circuit
        volts = np.where(floating, self._leaked(name) * FLOATING if held else 0.0, np.where(on, high, low))
        net.source(f"drive {name}", f"pin {name}", volts, np.where(floating, FLOATING, ohms + 0.01))

    def _leaked(self, name: str) -> Array:
        """What an undriven output leaks: as stated, else up to 1 µA."""
        stated = self.board.drive[name].leakage
        return self.draws.between(f"drive {name} leaks", 0.0, LEAKS if stated is None else stated)

    def _switch(self, net: Network, ref: str, role: Any, state: State) -> None:
        draws, pin = self.draws, f"pin {role.drive}"
        drain, foot = f"drain {ref}", f"return {ref}"
        stated = draws.between(f"{ref} lift", 0.0, role.lift or 0.0)
        # a track or lug between this switch and the common return, never more than the board states
        net.resistor(f"{ref} foot", foot, "return", 1e-4)
        lift = state.lift.get(ref, np.zeros(draws.size)) + stated
        warm = state.temperature.get(ref, self.ambient)
        if ref in self.mosfets:
            device = self.mosfets[ref]
            gate = state.level.get(f"gate {ref}", np.zeros(draws.size)) - lift
            down = draws.of(f"{ref} pulldown", role.pulldown) if role.pulldown else np.full(draws.size, 1e9)
            series = draws.of(f"{ref} gate resistor", role.gate_resistor)
            at_gate = role.pulldown_side == "gate"
            net.resistor(f"{ref} pulldown", pin, GROUND, down + (series if at_gate else 0.0))
            net.add(f"{ref} channel", drain, foot, device.curve(gate, warm))
            net.add(f"{ref} leak", drain, foot, device.leak(warm))
            net.add(f"{ref} breakdown", drain, foot, device.avalanche())
            net.add(f"{ref} body", foot, drain, device.body())
        else:
            npn = self.npns[ref]
            ohms, volts = self._base_side(ref, role, state, lift)
            base, vbe = npn.base_current(volts, ohms, warm)
            state.level[f"base {ref}"] = vbe + lift
            series = draws.of(f"{ref} base resistor", role.base_resistor)
            taken = np.maximum(state.level.get(f"pin {role.drive}", np.zeros(draws.size)) - vbe - lift, 0.0) / series
            net.pushed(f"{ref} base", pin, foot, taken)
            net.add(f"{ref} channel", drain, foot, npn.collector(base, warm))
            net.add(f"{ref} leak", drain, foot, npn.leak(warm))
            net.add(f"{ref} breakdown", drain, foot, npn.breakdown())

    def _base_side(self, ref: str, role: Any, state: State, lift: Array) -> tuple[Array, Array]:
        """Thevenin resistance and voltage, over the emitter, of what the base sees."""
        draws = self.draws
        pin = state.level.get(f"pin {role.drive}", np.zeros(draws.size)) - lift
        series = draws.of(f"{ref} base resistor", role.base_resistor)
        floating = state.floating.get(role.drive, np.zeros(draws.size, bool))
        alone = floating & (not any(r in self.mosfets and self.board.role[r].drive == role.drive for r in self.mosfets))  # type: ignore[union-attr]
        pin = np.where(alone, self._leaked(role.drive) * FLOATING, pin)
        series = np.where(floating, FLOATING, series)
        if role.base_emitter_resistor is None:
            return series, pin
        beside = draws.of(f"{ref} base-emitter", role.base_emitter_resistor)
        return series * beside / (series + beside), pin * beside / (series + beside)

    # ---- loads and indicators

    def _load(self, net: Network, name: str, state: State) -> None:
        load, draws = self.board.load[name], self.draws
        switch = self.board.switch_of(name)
        if switch is None:
            return
        rail, drain = f"rail {load.rail}", f"drain {switch}"
        near, far = f"load {name} +", f"load {name} -"
        wire = self._cable(f"{name} cable", load.cable) if load.cable is not None else np.zeros(draws.size)
        feed, back = self._poles("feed", name), self._poles("switched", name) + self._poles("return", name)
        net.resistor(f"{name} feed", rail, near, feed + wire / 2 + 1e-4)
        if name in state.held and state.held[name].ndim == 2:
            held, behind = state.held[name][0], state.held[name][1]
            net.resistor(f"{name} back", far, f"load {name} end", back + wire / 2 + 1e-4)
            net.pushed(f"{name} stray", f"load {name} end", drain, behind)
            net.pushed(f"{name}", near, far, held)
            return
        net.resistor(f"{name} back", far, drain, back + wire / 2 + self._tracks(None, name) + 1e-4)
        if name in state.held:
            net.pushed(name, near, far, state.held[name])
            return
        self._body(net, name, load, near, far, state)

    def _body(self, net: Network, name: str, load: Any, near: str, far: str, state: State) -> None:
        draws, count = self.draws, load.count
        if load.extra_current is not None:
            net.add(f"{name} extra", near, far, limited(draws.of(f"{name} extra", load.extra_current)))
        starting = state.starting.get(name, np.zeros(draws.size, bool))
        top = self._rail_top(load.rail)
        if isinstance(load, Coil) and load.current is None:
            net.resistor(name, near, far, self.winding(name) / count / self.flowing(name))
        elif isinstance(load, Lamp):
            current = draws.of(f"{name} current", load.current)
            current = np.where(starting, current * load.inrush_factor, current)
            net.resistor(name, near, far, top / current / count)
        elif isinstance(load, Motor):
            running = draws.of(f"{name} current", load.current)
            stalled = top / (load.stall_current * draws.between(f"{name} stall", 0.8, 1.0)) / count
            slope = np.where(starting, 1 / stalled, 1e-9)
            flow = limited(np.where(starting, 1e-9, running * count))
            net.add(name, near, far, lambda v: (flow(v)[0] + slope * v, flow(v)[1] + slope))
        elif isinstance(load, Capacitive):  # empty at the moment of its start, else full
            net.add(name, near, far, limited(draws.of(f"{name} current", load.current) * count))
            ahead = np.where(starting, draws.of(f"{name} series", load.series_resistance), 1e9)
            net.resistor(f"{name} capacitor", near, far, ahead / count)
        elif isinstance(load, LedString) and load.current is None:
            drop, ohms = draws.of(f"{name} drop", load.forward_voltage), draws.of(f"{name} ohms", load.resistance)
            ones = np.ones(draws.size)
            net.add(name, near, far, exponential(0.005 * ones * count, 0.03 * ones, ohms / count, drop))
        elif load.current is not None:
            net.add(name, near, far, limited(draws.of(f"{name} current", load.current) * count))
            if isinstance(load, LogicInput):
                net.resistor(f"{name} pull-up", near, far, 1e7)
        else:
            net.resistor(name, near, far, draws.of(f"{name} ohms", load.resistance) / count)

    def flowing(self, name: str) -> Array:
        """Share of rail over resistance to which a chopped coil rises in each pulse, its current flowing on meanwhile.

        In the periodic state the current rises by (1 - i) (1 - exp(-on/τ)) in a pulse and keeps exp(-off/τ) of itself.
        """
        chopped, ref = chopping_of(self.board, name), self.board.switch_of(name)
        clamped = any(True for _ in self.board.clamps_of(name))
        load = self.board.load[name]
        if chopped is None or not clamped or not isinstance(load, Coil) or load.inductance is None:
            return np.ones(self.draws.size)
        tau = self.draws.of(f"{name} henries", load.inductance) / self.winding(name)
        on = np.maximum(self.draws.of(f"{ref} duty", chopped.duty), 1e-6) / chopped.frequency
        rising, keeping = -np.expm1(-on / tau), np.exp(-np.maximum(1 / chopped.frequency - on, 0.0) / tau)
        return rising / (1 - (1 - rising) * keeping)

    def winding_factor(self, name: str) -> Array:
        """Resistance of a winding over that at 20 °C."""
        span = self.board.load[name].winding_temperature  # type: ignore[union-attr]
        warm = self.draws.of(f"{name} winding", span) if span is not None else self.ambient
        return 1 + COPPER_TEMPCO * (warm - 293.15)

    def winding(self, name: str) -> Array:
        """Resistance of one coil at its temperature."""
        return self.draws.of(f"{name} ohms", self.board.load[name].resistance) * self.winding_factor(name)  # type: ignore[union-attr]

    def motor_ohms(self, name: str) -> Array:
        """Winding resistance of a motor, all of them in parallel; from its stall current where none is stated."""
        load = self.board.load[name]
        own = load.resistance  # type: ignore[union-attr]
        if own is not None:
            return self.draws.of(f"{name} ohms", own) / load.count
        return self._rail_top(load.rail) / load.stall_current / load.count * np.ones(self.draws.size)  # type: ignore[union-attr]

    def _rail_top(self, name: str) -> float:
        rail = self.board.rail[name]
        if rail.voltage is not None:
            return float(rail.voltage.max)
        part = self.parts[str(rail.regulator)]
        top = part.number("v_out_max")
        return top if math.isfinite(top) else 5.0

    def _indicator(self, net: Network, ref: str, role: Indicator, state: State) -> None:
        draws = self.draws
        feed = f"rail {role.rail}" if role.rail is not None else f"pin {role.drive}"
        end = f"drain {role.switch}" if role.switch is not None else GROUND
        if role.switch_voltage is not None or role.switch_resistance is not None:
            drop = draws.of(f"{ref} switch volts", role.switch_voltage)
            ohms = draws.of(f"{ref} switch ohms", role.switch_resistance) + 0.01
            small = np.full(draws.size, 1e-3)
            end = f"led {ref} switch"
            net.add(f"{ref} switch", end, GROUND, exponential(small, small, ohms, drop))
        warm = state.temperature.get(ref, self.ambient)
        net.resistor(f"{ref} resistor", feed, f"led {ref}", draws.of(f"{ref} ohms", role.resistor))
        net.add(f"{ref} led", f"led {ref}", end, self.junctions[ref].curve(warm, role.in_series))
        net.add(f"{ref} leak", f"led {ref}", end, limited(np.full(draws.size, 1e-9)))

    # ---- clamps

    def _clamp(self, net: Network, ref: str, role: Clamp, state: State) -> None:
        load = self.board.load[role.load]
        switch = self.board.switch_of(role.load)
        far_end = role.position == "load"
        drain = f"load {role.load} -" if far_end and role.across == "load" else f"drain {switch}"
        other = f"load {role.load} +" if far_end else f"rail {load.rail}"
        if role.across == "switch":
            other = f"return {switch}"
        if role.in_series_with is not None:
            middle = "clamp " + " ".join(sorted((ref, role.in_series_with)))
            drain, other = (drain, middle) if ref < role.in_series_with else (middle, other)
        warm = state.temperature.get(ref, self.ambient)
        forward = self.junctions[ref].curve(warm)
        leak = leakage(self.parts[ref], "ir", self.draws, ref, warm)
        both = self.parts[ref].word("construction") == "tvs-bidirectional"
        if role.conducts == "forward":  # anode towards the drain
            net.add(f"{ref} forward", drain, other, forward)
        else:
            net.add(f"{ref} forward", drain, other, self.breakdowns[ref].curve())
            backward = self.breakdowns[ref].curve() if both else forward
            net.add(f"{ref} backward", other, drain, backward)
        net.add(f"{ref} leak", drain, other, limited(leak))


def chopping_of(board: Board, name: str) -> Chopped | None:
    """How a load is chopped: with whatever hangs on its drive."""
    ref = board.switch_of(name)
    drive = board.role[ref].drive if ref is not None else None  # type: ignore[union-attr]
    for role in (role for _, role in board.switches() if role.drive == drive):
        for other in role.load:
            thing = board.load.get(other) or board.role.get(other)
            if thing is not None and thing.chopped is not None:  # type: ignore[union-attr]
                return thing.chopped  # type: ignore[union-attr]
    return None


def regulators(board: Board) -> dict[str, Regulator]:
    """The regulators by reference."""
    return dict(board.of_type(Regulator))
