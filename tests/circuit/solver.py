"""What a board does: its states solved until voltages, temperatures and supplies agree, and what follows a turn-off."""

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.board.loads import Capacitive, Coil, Lamp, Motor
from partcheck.board.models import Board
from partcheck.parts import Part
from tests.circuit.draws import Draws
from tests.circuit.network import Network
from tests.circuit.wiring import INDUCTANCE_PER_METRE, State, Wiring, regulators

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
TURNS = 5


@dataclass
class Solved:
    """A state with the network that was found for it."""

    state: State
    net: Network


@dataclass
class Seen:
    """Everything that was simulated of one board at many points."""

    wiring: Wiring
    still: Solved
    opening: Solved
    opened: dict[str, Bools]
    rested: Solved
    release: dict[str, Array] = field(default_factory=dict)
    energy: dict[str, Array] = field(default_factory=dict)
    kept: dict[bool, Solved] = field(default_factory=dict)


def theta(board: Board, parts: dict[str, Part], ref: str) -> float:
    """Largest thermal resistance of a place as the board and the datasheet state it; NaN where neither does."""
    role = board.role[ref]
    if role.theta_ja is not None:
        return float(role.theta_ja)
    proving = [
        (row.copper_area if row.copper_area == row.copper_area else 0.0, row.max)
        for row in parts[ref].table("theta_ja").rows()
        if row.mounting < 3 or row.mounting != row.mounting
    ]
    area = role.copper_area or 0.0
    return min((top for at, top in proving if at <= area * (1 + 1e-9)), default=float("nan"))


def settle(wiring: Wiring, state: State, start: Network | None = None, turns: int = TURNS) -> Solved:
    """Solve a state again and again while lifts, temperatures and supplies follow from the last solution."""
    net = start
    for _ in range(turns):
        net = wiring.network(state).solve(net)
        _refine(wiring, state, net)
    assert net is not None
    return Solved(state, net)


def power(solved: Solved, ref: str) -> Array:
    """Heat of all elements of one place; of a transistor with that of its base."""
    net = solved.net
    parts = ("channel", "leak", "breakdown", "led", "forward", "backward")
    names = [f"{ref} {part}" for part in parts if f"{ref} {part}" in net.elements]
    heat = np.sum([net.across(name) * net.currents[name] for name in names], axis=0)
    if f"{ref} base" in net.elements:
        vbe = solved.state.level[f"base {ref}"] - solved.state.lift[ref]
        heat = heat + np.maximum(vbe, 0.0) * net.currents[f"{ref} base"]
    return heat


def _refine(wiring: Wiring, state: State, net: Network) -> None:
    board, draws = wiring.board, wiring.draws
    for name in board.drive:
        state.level[f"pin {name}"] = net.volt(f"pin {name}")
    for ref, role in board.switches():
        state.lift[ref] = net.volt("return")
        if ref in wiring.mosfets:
            level = state.level[f"pin {role.drive}"]
            if role.pulldown is not None and role.pulldown_side == "gate":  # type: ignore[union-attr]
                down = draws.of(f"{ref} pulldown", role.pulldown)  # type: ignore[union-attr]
                level = level * down / (down + draws.of(f"{ref} gate resistor", role.gate_resistor))  # type: ignore[union-attr]
            state.level[f"gate {ref}"] = level
    for ref in board.role if not state.moment else ():
        if f"{ref} channel" in net.elements or f"{ref} led" in net.elements:
            ohms = theta(board, wiring.parts, ref)
            if ohms == ohms:
                heat = power(Solved(state, net), ref) * ohms * draws.between(f"{ref} heated", 0.0, 1.0)
                made = np.clip(wiring.ambient + heat, 200.0, 460.0)
                short = _starts_briefly(board, ref, state)
                state.temperature[ref] = np.where(short, state.temperature.get(ref, wiring.ambient), made)
    _refine_supplies(wiring, state, net)


def _starts_briefly(board: Board, ref: str, state: State) -> Bools | bool:
    """Where a lamp or a capacitor on a switch draws what it does not draw for long: no junction settles meanwhile."""
    brief = [
        name for name in getattr(board.role[ref], "load", ()) if isinstance(board.load.get(name), Lamp | Capacitive)
    ]
    starts = [state.starting[name] for name in brief if name in state.starting]
    return np.any(starts, axis=0) if starts else False


def _refine_supplies(wiring: Wiring, state: State, net: Network) -> None:
    board, draws = wiring.board, wiring.draws
    drawn: dict[str, Array] = {}
    for name, drive in board.drive.items():
        supply = board.chip[drive.chip].supply if drive.chip in board.chip else None
        if supply is not None:
            given = np.maximum(-net.currents[f"drive {name}"], 0.0)
            drawn[supply] = drawn.get(supply, 0.0) + np.minimum(given, 1.0)
    for ref, role in regulators(board).items():
        part = wiring.parts[ref]
        wanted = draws.between(f"{ref} output", part.number("v_out_min"), part.number("v_out_max"))
        load = np.maximum(-net.currents[f"rail {role.output} source"], 0.0)
        state.level[role.output] = np.maximum(np.minimum(wanted, net.volt(f"rail {role.input}") - 0.05), 0.0)
        own = draws.between(f"{ref} quiescent", 0.0, np.nan_to_num(part.number("iq_max")))
        drawn[role.input] = drawn.get(role.input, 0.0) + load + own
    for rail, amperes in drawn.items():
        state.drawn[rail] = 0.5 * (state.drawn.get(rail, amperes) + amperes)


def static_state(board: Board, draws: Draws) -> State:
    """A state at random: what is on as the board allows it, which pins float, which supplies are absent."""
    on = {ref: draws.chance(f"{ref} on", 0.7) for ref, _ in board.switches()}
    for group in board.at_once:
        most, order = np.zeros(draws.size), []
        for name in group.of:
            ref = board.switch_of(name)
            if ref is not None and ref not in order:
                order.append(ref)
                on[ref] = on[ref] & (most < group.most)
                most = most + on[ref]
    absent = {
        name: draws.chance(f"rail {name} absent", 0.15) & draws.chance(f"rail {name} absent at all", 0.5)
        for name, rail in board.rail.items()
        if rail.regulator is None and len(board.rail) > 1
    }
    dead: dict[str, Bools] = {}
    for name, drive in board.drive.items():
        supply = board.chip[drive.chip].supply if drive.chip in board.chip else None
        dead[name] = _without(board, supply, absent, draws.size)
    for ref, role in board.switches():
        on[ref] = on[ref] & ~dead[role.drive]
    for _, role in board.switches():  # one output turns on all that hangs on it
        shared = [ref for ref, other in board.switches() if other.drive == role.drive]
        any_on = np.any([on[ref] for ref in shared], axis=0)
        for ref in shared:
            on[ref] = any_on
    for name in board.drive:
        on[f"drive {name}"] = draws.chance(f"drive {name} on", 0.7) & ~dead[name]
        if any(role.drive == name for _, role in board.switches()):
            on[f"drive {name}"] = np.zeros(draws.size, bool)
    floating = {
        name: draws.chance(f"drive {name} floats", 0.3) & ~_driven(board, name, on) & may_float(board, name)
        for name in board.drive
    }
    starting = {
        name: draws.chance(f"{name} starts", 0.3)
        for name, load in board.load.items()
        if isinstance(load, Lamp | Motor | Capacitive)
    }
    return State(on, floating, absent, starting)


def may_float(board: Board, name: str) -> bool:
    """True where a drive may be undriven: unless it is stated that it never is."""
    return board.drive[name].floats is not False


def _driven(board: Board, name: str, on: dict[str, Bools]) -> Bools:
    refs = [ref for ref, role in board.switches() if role.drive == name]
    return np.any([on[ref] for ref in refs] or [on[f"drive {name}"]], axis=0)


def _without(board: Board, rail: str | None, absent: dict[str, Bools], size: int) -> Bools:
    """True where a rail has no supply."""
    while rail is not None and board.rail[rail].regulator is not None:
        rail = board.role[board.rail[rail].regulator].input  # type: ignore[union-attr,index]
    return absent.get(rail or "", np.zeros(size, bool))


def inductance(wiring: Wiring, name: str) -> Array | None:
    """Inductance of a load, all of it in parallel; None where it has none or states none."""
    load = wiring.board.load[name]
    own = load.inductance if isinstance(load, Coil | Motor) else None
    return wiring.draws.of(f"{name} henries", own) / load.count if own is not None else None


def stray(wiring: Wiring, name: str) -> Array:
    """Inductance of the cable of a load."""
    cable = wiring.board.load[name].cable
    if cable is None:
        return np.zeros(wiring.draws.size)
    if cable.inductance is not None:
        return wiring.draws.of(f"{name} stray", cable.inductance)
    return cable.length * wiring.draws.between(f"{name} stray", *INDUCTANCE_PER_METRE)


def open_switches(wiring: Wiring, still: Solved) -> tuple[Solved, dict[str, Bools], Solved]:
    """The moment after every switch that was on has opened, coils holding their currents; which were on; and long after."""
    board = wiring.board
    was_on = {ref: still.state.on[ref] for ref, _ in board.switches()}
    gone = {key: np.zeros_like(value) for key, value in still.state.on.items() if not key.startswith("drive ")}
    held: dict[str, Array] = {}
    for name, load in board.load.items():
        ref = board.switch_of(name)
        if ref is None or not isinstance(load, Coil | Motor):
            continue
        current = np.where(was_on[ref], np.maximum(still.net.currents[name], 0.0), 0.0)
        far = any(board.role[clamp].position == "load" for clamp in board.clamps_of(name))  # type: ignore[union-attr]
        held[name] = np.stack([current, current]) if far else current
    state = replace(
        still.state, moment=True, on={**still.state.on, **gone}, held=held, level=dict(still.state.level), lift=dict(still.state.lift),
        temperature=dict(still.state.temperature), drawn=dict(still.state.drawn),
    )  # fmt: skip
    opening = settle(wiring, state, still.net, 2)
    after = replace(
        state,
        held={},
        level=dict(state.level),
        lift=dict(state.lift),
        temperature=dict(state.temperature),
        drawn=dict(state.drawn),
    )
    return opening, was_on, settle(wiring, after, opening.net, 2)


LEAST_SHARE = 0.01
"""Share of its first current down to which the decay of a coil is followed."""


@dataclass
class Decay:
    """Coils that run down, each alone on its switch: the same shares of the first currents, one network for each."""

    wanted: list[str]
    shares: Array
    nets: list[Network]
    begin: dict[str, Array]
    pace: dict[str, Array]
    """Seconds for each unit of the logarithm of the current, at each share; shape (shares, points)."""


def decay(wiring: Wiring, opening: Solved, levels: int = 14) -> Decay:
    """Follow every coil that is alone on its switch: L di/dt = v - R i, v what the rest puts over it."""
    board, state = wiring.board, opening.state
    names = [name for name in state.held if _alone(board, name) and inductance(wiring, name) is not None]
    begin = {name: np.maximum(np.atleast_2d(state.held[name])[0], 1e-12) for name in names}
    shares, nets, net = np.geomspace(1.0, LEAST_SHARE, levels), [], opening.net
    pace: dict[str, list[Array]] = {name: [] for name in names}
    for share in shares if names else []:
        held = dict(state.held)
        for name in names:
            now = begin[name] * share
            far = held[name].ndim == 2  # the cable's own current is gone in no time
            held[name] = np.stack([now, np.zeros_like(now)]) if far else now
        net = wiring.network(replace(state, held=held)).solve(net)
        nets.append(net)
        for name in names:
            now = begin[name] * share
            load, henries = board.load[name], inductance(wiring, name)
            ohms = wiring.winding(name) / load.count if isinstance(load, Coil) else wiring.motor_ohms(name)
            fall = now * ohms - (net.volt(f"load {name} +") - net.volt(f"load {name} -"))
            pace[name].append(henries * now / np.maximum(fall, 1e-9))
    return Decay(names, shares, nets, begin, {name: np.array(made) for name, made in pace.items()})


def release_times(wiring: Wiring, run: Decay) -> dict[str, Array]:
    """Time from opening until each coil has come down to its release level."""
    made = {}
    for name in run.wanted:
        load = wiring.board.load[name]
        if not isinstance(load, Coil) or load.release_level is None:
            continue
        x, steps = -np.log(run.shares), run.pace[name]
        spent = np.vstack(
            [np.zeros(wiring.draws.size), np.cumsum(np.diff(x)[:, None] * (steps[1:] + steps[:-1]) / 2, axis=0)]
        )
        wanted = np.log(np.maximum(run.begin[name] / (load.release_level * load.count), 1.0))
        made[name] = np.array([np.interp(wanted[k], x, spent[:, k]) for k in range(wiring.draws.size)])
    return made


def energies(wiring: Wiring, run: Decay) -> dict[str, Array]:
    """Energy that each clamp and each switch in breakdown takes of one turn-off."""
    made: dict[str, Array] = {}
    if not run.nets:
        return made
    for element in run.nets[0].elements:
        ref, _, part = element.rpartition(" ")
        if part not in ("forward", "backward", "breakdown"):
            continue
        coils = [name for name in run.wanted if ref in (wiring.board.switch_of(name), *wiring.board.clamps_of(name))]
        if not coils:
            continue
        heat = np.array([np.maximum(net.across(element) * net.currents[element], 0.0) for net in run.nets])
        step = heat * run.pace[coils[0]]
        x = -np.log(run.shares)
        made[ref] = made.get(ref, 0.0) + np.sum(np.diff(x)[:, None] * (step[1:] + step[:-1]) / 2, axis=0)
    return made


def _alone(board: Board, name: str) -> bool:
    ref = board.switch_of(name)
    beside = board.role[ref].load if ref is not None else []  # type: ignore[union-attr]
    return not any(isinstance(board.load.get(other), Coil | Motor) for other in beside if other != name)


def simulate(board: Board, parts: dict[str, Part], draws: Draws) -> Seen:
    """Everything of one board at the points drawn."""
    wiring = Wiring(board, parts, draws)
    still = settle(wiring, static_state(board, draws))
    opening, opened, rested = open_switches(wiring, still)
    run = decay(wiring, opening)
    return Seen(wiring, still, opening, opened, rested, release_times(wiring, run), energies(wiring, run))


def parts_of(board_path: Any) -> tuple[Board, dict[str, Part]]:
    """A board file and the true values of its fitted parts, which it states itself."""
    from partcheck.board import read_board
    from partcheck.parts.documents import from_record

    board = read_board(board_path).board
    stock = {made.part_number: made for made in (from_record(record, "part") for record in board.part)}
    return board, {ref: stock[role.fitted.part_number] for ref, role in board.role.items() if role.fitted is not None}
