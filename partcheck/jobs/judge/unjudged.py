"""What a reviewer of such a board would ask and no requirement answers: told with every answer, not passed over.

Each topic is told where the board has what it concerns, with the names that it concerns. Where a requirement answers it
once the board states enough, it is told only until then. `catalog_samples/GUIDE.md` lists them all in one table.
"""

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass

from partcheck.board import Board
from partcheck.board.loads import Capacitive, Coil, Lamp, LedString, Motor, Resistive
from partcheck.board.roles import Clamp, Indicator, MosfetSwitch, NpnSink, Regulator, Switch, Terminal
from partcheck.jobs.judge.few import few
from partcheck.situation.current_path import passes
from partcheck.situation.paths import rails_behind

BRISK = 10e3
"""Ω: a pull-down up to this releases a gate briskly (common practice, no published source)."""


@dataclass(frozen=True)
class Topic:
    """A reviewer's question that is not answered here.

    ``asked`` says what is asked of it, ``why`` what would be needed for the rest; ``concerns`` finds the places, loads
    and rails of a board that it concerns.
    """

    title: str
    question: str
    asked: str
    why: str
    concerns: Callable[[Board], Iterable[str]]


# ---- what a topic concerns


def _loaded_switches(board: Board) -> Iterator[str]:
    return (ref for ref, switch in board.switches() if any(name in board.load for name in switch.load))


def _unfused(board: Board) -> Iterator[str]:
    """Switches of a load whose rail states no fuse, and all bipolar ones."""
    for ref in _loaded_switches(board):
        switch = board.role[ref]
        assert isinstance(switch, Switch)
        rails = [board.rail[board.load[name].rail] for name in switch.load if name in board.load]
        if not isinstance(switch, MosfetSwitch) or any(rail.fuse_i2t is None for rail in rails):
            yield ref


def _start(load: object) -> float:
    """Current of the start of a lamp or a motor, A."""
    if isinstance(load, Lamp):
        return float(load.current.max * load.inrush_factor * load.count)
    return float(load.stall_current * load.count) if isinstance(load, Motor) else 0.0


def _starting_beyond(board: Board) -> Iterator[str]:
    """Rails with a lamp or a motor whose start exceeds the rail's fuse or limit."""
    for name, rail in board.rail.items():
        starts = [_start(load) for load in board.load.values() if load.rail == name]
        if rail.fault_current is not None and max(starts, default=0.0) > rail.fault_current:
            yield name


def _unsaid_rise(board: Board) -> Iterator[str]:
    """MOSFETs of which no rail of a load states how steeply it comes up."""
    for ref in _loaded_switches(board):
        rails = [board.rail[board.load[name].rail] for name in board.role[ref].load if name in board.load]  # type: ignore[union-attr]
        if isinstance(board.role[ref], MosfetSwitch) and all(rail.rise_time is None for rail in rails):
            yield ref


def _released(board: Board) -> Iterator[str]:
    """MOSFETs that a large pull-down releases where their drive may float."""
    for ref in _loaded_switches(board):
        switch = board.role[ref]
        held = isinstance(switch, Switch) and switch.holds_off is not None and switch.holds_off.typ <= BRISK
        if isinstance(switch, MosfetSwitch) and board.drive[switch.drive].floats is not False and not held:
            yield ref


def _from_outside(board: Board) -> Iterator[str]:
    return (name for name, rail in board.rail.items() if rail.voltage is not None)


def _without_transient(board: Board) -> Iterator[str]:
    return (name for name in _from_outside(board) if board.rail[name].transient is None)


def _lifted(board: Board) -> Iterator[str]:
    """Switches with a load on a rail that states a transient."""
    for ref, switch in board.switches():
        loads = [board.load[name] for name in switch.load if name in board.load]
        if any(board.rail[load.rail].transient is not None for load in loads):
            yield ref


def _reversible(board: Board) -> Iterator[str]:
    """Rails from outside that reach a switch or a regulator with no diode ahead."""
    fed = {board.load[name].rail for _, switch in board.switches() for name in switch.load if name in board.load}
    fed |= {role.input for _, role in board.of_type(Regulator)}
    return (name for name in _from_outside(board) if name in fed and board.rail[name].protection_drop is None)


def _protected(board: Board) -> Iterator[str]:
    return (name for name, rail in board.rail.items() if rail.protection_drop is not None)


def _to_the_outside(board: Board) -> Iterable[str]:
    """Terminals; where none is drawn, the loads that hang on wires."""
    return [ref for ref, _ in board.of_type(Terminal)] or list(board.load)


def _fed_backwards(board: Board) -> Iterator[str]:
    return (ref for ref, role in board.of_type(Regulator) if role.back_feed is None)


def _motors(board: Board) -> Iterator[str]:
    return (name for name, load in board.load.items() if isinstance(load, Motor))


def _measured(board: Board) -> Iterator[str]:
    return (name for name, load in board.load.items() if isinstance(load, Coil) and load.measured is not None)


def _electronic(board: Board) -> Iterator[str]:
    """Loads stated by their current alone: behind it may stand a converter, a driver or another device."""
    for name, load in board.load.items():
        if isinstance(load, LedString | Resistive) and load.current is not None and load.resistance is None:
            yield name


def _capacitive(board: Board) -> Iterator[str]:
    return (name for name, load in board.load.items() if isinstance(load, Capacitive))


def _with_resistors(board: Board) -> Iterator[str]:
    """Switches with a resistor whose power rating is not stated."""
    for ref, role in board.switches():
        silent = role.holds_off is not None
        if isinstance(role, MosfetSwitch):
            silent = silent and role.pulldown_power is None
        if isinstance(role, NpnSink):
            silent = role.base_resistor_power is None or (silent and role.base_emitter_power is None)
        if silent:
            yield ref


def _with_capacitors(board: Board) -> Iterator[str]:
    yield from (name for name, rail in board.rail.items() if rail.capacitance is not None)
    yield from (ref for ref, role in board.of_type(Regulator) if role.output_capacitor is not None)


def _indicators(board: Board) -> Iterator[str]:
    return (ref for ref, _ in board.of_type(Indicator))


def _side_by_side(board: Board) -> Iterator[str]:
    """MOSFETs on one drive: as two in parallel on one load would have to be written."""
    drives = Counter(role.drive for _, role in board.of_type(MosfetSwitch))
    return (ref for ref, role in board.of_type(MosfetSwitch) if drives[role.drive] > 1)


def _cooled_by_air(board: Board) -> Iterator[str]:
    return (ref for ref, role in board.role.items() if isinstance(role, Switch | Clamp | Regulator))


TOPICS = (
    Topic(
        "measured piece",
        "Are the other pieces like the one that was measured?",
        "the piece that was measured",
        "pieces differ as far as their datasheet says; state `resistance` with that spread for a series of boards",
        _measured,
    ),
    Topic(
        "shorted load",
        "Does the switch survive a shorted load until the fuse acts? State `fuse_i2t` for a MOSFET.",
        "wires, poles and tracks: `fault-current`; a MOSFET whose rail states `fuse_i2t`: `shorted-load`",
        "how long a fuse takes is not stated; no datasheet says what a bipolar transistor withstands in a short",
        _unfused,
    ),
    Topic(
        "fuse and starts",
        "Does the fuse stay whole, or the limit let a load start, when that draws more than `fault_current`?",
        "`fuse-holds`: what lasts, starts counted by their heat",
        "how long a fuse carries more than its rating, and what a limit does then, is not stated",
        _starting_beyond,
    ),
    Topic(
        "plug-in turn-on",
        "Does plugging in the supply turn the switch on for a moment? State `rise_time` of its rail.",
        "`plug-in-hold`: of a MOSFET whose rails state `rise_time`",
        "how steeply a supply rises depends on it and on how it is connected",
        _unsaid_rise,
    ),
    Topic(
        "reset while on",
        "Does the switch survive being released by its pull-down alone, when the logic resets while it is on?",
        "edges that the drive makes: `slow-edge`; what holds the gate afterwards: `gate-hold`",
        "how often is not stated; a pull-down of 10 kΩ or less keeps it short, `floats = false` rules it out",
        _released,
    ),
    Topic(
        "hot plug, load dump",
        "How high does the supply go when it is plugged in live, or loses another load? State `transient`.",
        "`drain-voltage`, `collector-voltage`, `input-transient` and others: where the rail states `transient`",
        "it depends on the lead, the capacitors and the source; up to twice the supply is common",
        _without_transient,
    ),
    Topic(
        "current in a transient",
        "Do switch, wires and load carry the larger current while a transient lasts?",
        "voltages, and an LED's current: `transient-current`",
        "how long a transient lasts is not stated",
        _lifted,
    ),
    Topic(
        "static discharge",
        "Do static discharges and bursts on the wires cause damage?",
        "-",
        "it depends on layout and protection parts that a board file does not hold; test it (IEC 61000-4-2, -4)",
        _to_the_outside,
    ),
    Topic(
        "reversed supply",
        "What flows when the supply is reversed, through body and flyback diodes?",
        "-",
        "nothing but the load limits it; a `protection_drop` says that a diode stands in its way",
        _reversible,
    ),
    Topic(
        "regulator fed backwards",
        "May the output be above the input? State `back_feed`.",
        "`back-feed`: where the regulator states `back_feed`",
        "how long the output is held up while the input falls depends on capacitors that are not stated",
        _fed_backwards,
    ),
    Topic(
        "motor as generator",
        "What is driven back into the board when the motor is turned, or coasts?",
        "-",
        "its speed constant and what turns it are not stated",
        _motors,
    ),
    Topic(
        "capacitive load",
        'What does an input capacitor draw at switch-on? State electronics as `sort = "capacitive"`.',
        "`inrush`, `pulse-rise`, `supply-current` and others: of a load of that sort",
        "a load stated by its current may be electronics; its capacitor is not stated",
        _electronic,
    ),
    Topic(
        "charged capacitor",
        "What does its charged capacitor feed when the rail falls, and does it ring with its cable?",
        "its start: `inrush`, `pulse-rise`; what a cable does when the switch opens: `stray-spike`",
        "it depends on how the rail falls, and on inductance and damping inside the load",
        _capacitive,
    ),
    Topic(
        "small resistors",
        "Can base resistor and pull-down handle their power? State `base_resistor_power`, `pulldown_power`.",
        "`base-resistor-power`, `base-emitter-power`, `pulldown-power`, `resistor-power`: where the rating is stated",
        "their power ratings are not stated; a bleeder is not modelled at all",
        _with_resistors,
    ),
    Topic(
        "protection diode",
        "Can the protection diode handle its current, heat and reverse voltage?",
        "its drop: `dropout`, `wire-drop`",
        "it is stated as a drop, not as a part",
        _protected,
    ),
    Topic(
        "capacitors",
        "Can the capacitors handle their ripple, and for how long?",
        "value and series resistance: `output-capacitor`, `output-esr`, `feed-surge`",
        "their ratings of voltage, ripple and life are not stated",
        _with_capacitors,
    ),
    Topic(
        "LED ageing and cold",
        "How bright is it when aged, and in the cold?",
        "new: `brightness-low`, `brightness-high`; hot: `brightness-hot`",
        "datasheets state neither as a limit",
        _indicators,
    ),
    Topic(
        "parallel MOSFETs",
        "In parallel on one load, would they share current and edges?",
        "each with the whole load of its own",
        "a load is on one switch; sharing depends on layout and on parts of one kind",
        _side_by_side,
    ),
    Topic(
        "altitude",
        "Do cooling and insulation suffice above 2000 m?",
        "up to there: `junction-rise`, `clearance`",
        "thin air cools less and insulates less (factors in IEC 60664-1, table A.2)",
        _cooled_by_air,
    ),
)
"""What a reviewer would ask, in the order in which it is told."""


def not_judged(board: Board, about: Collection[str] | None = None) -> tuple[str, ...]:
    """The questions that concern the board and are not answered, with the names that each concerns.

    ``about`` leaves those that concern one of these names, and of their names these alone.
    """
    found = []
    for topic in TOPICS:
        names = [name for name in dict.fromkeys(topic.concerns(board)) if about is None or name in about]
        if names:
            found.append(f"{few(names)}: {topic.question[:1].lower()}{topic.question[1:]}")
    return tuple(found)


def around(board: Board, ref: str) -> frozenset[str]:
    """A place and what a question about its part concerns as well: its loads, a regulator's rails."""
    role = board.role[ref]
    names = {ref}
    if isinstance(role, Switch):
        names |= {name for name in role.load if name in board.load}
    elif isinstance(role, Clamp):
        names.add(role.load)
    elif isinstance(role, Terminal):
        names |= {name for pole in role.poles for name in (pole.load or [pole.rail or ""])}
    elif isinstance(role, Regulator):
        names |= {role.input, role.output}
    return frozenset(names)


def along(board: Board, load: str) -> frozenset[str]:
    """A load with its rail and what that is made of, its switch, and what else of the board its current passes."""
    switch, rails = board.switch_of(load), rails_behind(board, board.load[load].rail)
    names = {load, *rails, *board.clamps_of(load)} | ({switch} if switch is not None else set())
    names |= {maker for rail in rails if (maker := board.rail[rail].regulator) is not None}
    through = {r for r, t in board.of_type(Terminal) if any(passes(pole, load, rails) for pole in t.poles)}
    return frozenset(names | through)
