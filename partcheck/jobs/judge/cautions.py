"""Cautions that apply to a board: shown with every answer, not buried.

Limits differ between standards and places of use; these are the usual ones, each with its source. They are
no substitute for local rules and for people licensed to apply them.
"""

import math
from collections.abc import Iterable, Iterator

from partcheck.board import Board
from partcheck.board.loads import Capacitive, Coil, LogicInput, Motor
from partcheck.jobs.judge.place import Judged
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.switch import SwitchFacts
from partcheck.units import show

TOUCH_DRY, TOUCH_WET = 60.0, 30.0
"""V d.c. no longer safe to touch everywhere: 60 V (IEC 61140, IEC 62368-1 ES1), 30 V where wet (IEC 60598-1)."""
FIRE_SMALL, FIRE_LARGE = 15.0, 100.0
"""W a source may deliver into a fault: PS1 up to 15 W, PS2 up to 100 W (IEC 62368-1; PS1 from memory)."""
HOT_PART = 273.15 + 60.0
"""K: metal touched for more than a second (IEC 62368-1 table 38, from memory; EN 563 reads 70 °C for 1 s)."""
CLOSING = (
    "The maker's datasheet, local wiring and safety rules, and licensed practice where they apply, take precedence "
    "over everything said here."
)


def terminal_peak(situation: Situation) -> float:
    """Highest voltage at the terminals, V: rails, and drains with their clamps conducting."""
    peaks = [situation.rail(name).largest.value for name in situation.board.rail]
    for ref, _ in situation.board.switches():
        facts = situation.facts(ref)
        assert isinstance(facts, SwitchFacts)
        peaks += [facts.drain_peak().value, facts.node.largest().value]
        part = situation.fitted.get(ref)
        if facts.unclamped and part is not None:
            rated = part.number("vds_max")
            peaks.append(1.3 * (rated if rated == rated else part.number("vceo")))
    return max((p for p in peaks if p == p), default=math.nan)


def cautions(situation: Situation, judged: Iterable[Judged]) -> Iterator[str]:
    """The cautions that apply, most urgent first; the last one always stands."""
    board = situation.board
    peak = terminal_peak(situation)
    limit = TOUCH_WET if board.surroundings.wet else TOUCH_DRY
    if peak > limit:
        place = "in a wet place " if board.surroundings.wet else ""
        yield (
            f"Terminals reach {show(peak, 'V')} d.c., clamp included: above {show(limit, 'V')} {place}they are not "
            "considered safe to touch everywhere (limits differ between standards). Cover them and switch off before "
            "working."
        )
    yield from _fire(situation)
    yield from _loads(board)
    yield from _burns([j for j in judged if "tj_hot" in j.role.quantities])
    if any(j.verdict is Verdict.FAILS for j in judged):
        yield "A part used beyond what its maker states can fail at once or years later, also by fire."
    yield CLOSING


def _fire(situation: Situation) -> Iterator[str]:
    """What a source can deliver into a fault, or that it is not stated."""
    power = max((_fault_power(situation, name) for name in situation.board.rail), default=0.0)
    if power > FIRE_LARGE:
        yield f"A source can deliver {show(power, 'W')} into a fault, over 100 W: it can set fire to things; fuse it."
    elif power > FIRE_SMALL:
        yield f"A source can deliver {show(power, 'W')} into a fault, over 15 W: enough to start a fire; fuse it."
    silent = [
        name
        for name, rail in situation.board.rail.items()
        if rail.voltage is not None and rail.fault_current is None and rail.current is None
    ]
    if silent:
        names = ", ".join(silent)
        told = f"What the source of {names} delivers into a fault is not stated"
        yield f"{told}: more than 15 W can start a fire; fuse it."


def _loads(board: Board) -> Iterator[str]:
    """What the loads may do to people."""
    loads = list(board.load.values())
    if any(not isinstance(load, LogicInput) for load in loads):
        yield "A failed switch usually stays closed: its load stays on. Where that can hurt, cut the supply elsewhere."
    if any(isinstance(load, Capacitive | Coil | Motor) for load in loads):
        yield "Coils and capacitors hold energy after switching off; wait, and discharge before touching."
    if any(isinstance(load, Motor) for load in loads):
        yield "A motor may start when a switch fails or the logic resets: keep hands clear of what it moves."
    if board.surroundings.unattended:
        yield "Loads here may move or heat with nobody near: guard them and give them an independent stop."


def _burns(judged: list[Judged]) -> Iterator[str]:
    """Parts that may be too hot to touch, hottest first, and those of which it is not known."""
    heats = {j.ref: _hottest(j) for j in judged}
    hot = sorted((ref for ref, tj in heats.items() if tj > HOT_PART), key=lambda ref: -heats[ref])
    if hot:
        yield f"{_few(hot)} may be hot enough to burn ({show(HOT_PART, '°C')} or more inside, worst case): let it cool."
    unknown = [ref for ref, tj in heats.items() if tj != tj]
    if unknown:
        yield f"How hot {_few(unknown)} may get is not known: treat them as hot."


def _few(refs: list[str]) -> str:
    return ", ".join(refs[:6]) + (" and more" if len(refs) > 6 else "")


def _fault_power(situation: Situation, name: str) -> float:
    rail = situation.board.rail[name]
    if rail.voltage is None:
        return 0.0
    current = rail.fault_current if rail.fault_current is not None else rail.current
    return rail.voltage.max * current if current is not None else 0.0


def _hottest(judged: Judged) -> float:
    """The hottest junction of a place, K; NaN where it is not known."""
    if judged.values is None:
        return math.nan
    return _plain(judged.values()[0].tj_hot)


def _plain(value: object) -> float:
    """The number behind a traced one."""
    return float(getattr(value, "value", value))  # type: ignore[arg-type]
