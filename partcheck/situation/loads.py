"""What a load draws: worst, typical and least current, inrush, stored energy; corners of the load itself."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from partcheck.board.loads import Capacitive, Coil, Lamp, LedString, LogicInput, Measured, Motor, Resistive
from partcheck.board.measured import told
from partcheck.board.roles import Indicator
from partcheck.operations import NAN
from partcheck.physics import coils
from partcheck.requirement import Fact
from partcheck.situation.capacitive import charging
from partcheck.situation.chopping import Chopping, chopping_of, rate_of
from partcheck.situation.facts import NOT_STATED, combine, total
from partcheck.situation.holding import flows_on, held
from partcheck.situation.many import at_least, largest_of, least_of, one_above, show
from partcheck.units import Span

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

Currents = tuple[Callable[[], Fact], Fact, Fact]
"""Least (when asked for), typical and largest current of one load, A."""
DIMMED = 0.25
"""Power of the duty with which the resistance of a chopped filament falls, at most (power balance; ``_dimmed``)."""
FOLLOWS = 0.1
"""A filament whose chopping takes longer than this share of its inrush is not steady: each pulse begins as a start
(common practice, no published source)."""
ALWAYS = Span(1.0, 1.0, 1.0)
"""Duty of what is not chopped."""


@dataclass(frozen=True)
class LoadState:
    """One load (all of its ``count`` together): currents in A, inductance in H, times in s.

    ``largest`` counts a motor as stalled; ``heating`` is the largest current that lasts; ``inrush`` the largest
    for ``inrush_time``. ``resistance`` is the least of a winding (cold, low tolerance), of the group in parallel.
    ``recharges`` says that each pulse of a chopping begins with an inrush. ``direct`` is what it would draw without a
    break, where ``largest`` is less because its current flows on while it is chopped.
    """

    name: str
    largest: Fact
    typical: Fact
    least_when_asked: Callable[[], Fact]
    heating: Fact
    inrush: Fact = NOT_STATED
    inrush_time: Fact = NOT_STATED
    inductive: bool = False
    inductance: Fact = NOT_STATED
    inductance_typical: Fact = NOT_STATED
    resistance: Fact = NOT_STATED
    duty: Span = ALWAYS
    frequency: float = 0.0
    rate: Any = None
    recharges: bool = False
    direct: Fact = NOT_STATED

    @property
    def least(self) -> Fact:
        """Least current; made when asked for, as it rests on the least rail, which rests on the largest currents."""
        return self.least_when_asked()

    @property
    def unbroken(self) -> Fact:
        """Largest current without a break in its chopping: in proportion to what its resistance lets through."""
        return self.largest if self.direct.value is None else self.direct


def cold_resistance(coil: Coil, situation: "Situation") -> tuple[Any, Any]:
    """Least winding resistance of one coil (low tolerance, coldest winding), Ω, and that temperature, K."""
    span = coil.winding_temperature
    coldest = span.min if span is not None else situation.board.surroundings.ambient.min
    return coils.winding_resistance(coil.resistance.min, coldest), coldest


def hot_resistance(coil: Coil, situation: "Situation") -> Any:
    """Largest winding resistance of one coil (high tolerance, hottest winding), Ω."""
    span = coil.winding_temperature
    hottest = span.max if span is not None else situation.board.surroundings.ambient.max
    return coils.winding_resistance(coil.resistance.max, hottest)


def as_measured(name: str, load: Measured) -> tuple[str, ...]:
    """What an explanation says of a measured resistance, wherever a number rests on it; nothing of any other."""
    return () if load.measured is None else (f"{name}.resistance: {told(load.measured, load.COPPER)}",)


def resistance_named(name: str, load: Measured) -> str:
    """Where a load's resistance comes from: its key, and of a measured one the reading."""
    return f"{name}.resistance" if load.measured is None else f"{name}.resistance ({told(load.measured, load.COPPER)})"


def load_state(situation: "Situation", name: str) -> LoadState:
    """The state of a load, or of an indicator that a switch pulls."""
    if name in situation.board.load:
        return _of_load(situation, name, situation.board.load[name])
    indicator = situation.board.role[name]
    assert isinstance(indicator, Indicator)
    largest = situation.quantity(name, "current_max")
    chopped = chopping_of(situation, name)
    return LoadState(
        name,
        largest,
        situation.quantity(name, "current_typ"),
        lambda: situation.quantity(name, "current_min"),
        largest,
        duty=chopped.duty if chopped else ALWAYS,
        frequency=chopped.frequency if chopped else 0.0,
        rate=rate_of(situation, name),
    )


def _of_load(situation: "Situation", name: str, load: Any) -> LoadState:
    rail = situation.rail(load.rail)
    chopped = chopping_of(situation, name)
    one, direct = _currents(situation, name, load, rail), NOT_STATED
    if chopped is not None and flows_on(situation, name):
        direct, one = one[2], _held(situation, name, chopped, one)
    extra = load.extra_current
    more = [(f"{name}.extra_current", Fact(value, "")) for value in (extra or (0.0, 0.0, 0.0))]
    count = load.count

    def group(fact: Fact, extra_part: tuple[str, Fact]) -> Fact:
        if count == 1 and extra is None:
            return fact
        times = "" if count == 1 else f"{count} · "
        parts = combine(fact.value * count, f"{times}{fact.source}", fact)
        return total([(name, parts), extra_part], "A") if extra is not None else parts

    largest, typical = group(one[2], more[2]), group(one[1], more[1])

    def least() -> Fact:
        return group(one[0](), more[0])

    state = LoadState(
        name,
        largest,
        typical,
        least,
        heating=largest,
        inductive=isinstance(load, Coil | Motor),
        duty=chopped.duty if chopped else ALWAYS,
        frequency=chopped.frequency if chopped else 0.0,
        rate=rate_of(situation, name),
        recharges=isinstance(load, Capacitive),
        direct=group(direct, more[2]) if direct.value is not None else direct,
    )
    if isinstance(load, Motor) and load.stall_time is not None:
        running = Fact(load.current.max, f"{name}.current, largest")
        time = Fact(load.stall_time, f"{name}.stall_time")
        state = replace(state, heating=group(running, more[2]), inrush=largest, inrush_time=time)
    return _inductive(situation, load, _starting(situation, load, state))


def _starting(situation: "Situation", load: Any, state: LoadState) -> LoadState:
    """With what a lamp or an input capacitor draws at each start."""
    name = state.name
    if isinstance(load, Lamp):
        times = f"{name}: hot current · inrush_factor {load.inrush_factor:g}"
        inrush = combine(state.largest.value * load.inrush_factor, times, state.largest)
        state = replace(state, inrush=inrush, inrush_time=Fact(load.inrush_time, f"{name}.inrush_time"))
        return _dimmed(state, load) if state.frequency else state
    if isinstance(load, Capacitive):
        inrush, inrush_time = charging(situation, name, load, state.largest)
        state = replace(state, inrush=inrush, inrush_time=inrush_time)
        if state.frequency:  # it may be empty before each pulse, and draws all the more in what is left of the time
            rate = largest_of([state.frequency, 0.0 if state.rate is None else state.rate])
            state = replace(state, duty=ALWAYS, rate=rate)
    return state


def _dimmed(state: LoadState, lamp: Lamp) -> LoadState:
    """A chopped filament is cooler than one that is on all the time, and draws more while it is on.

    Over a duty d the power is V²·d/R. It is radiated with T⁴, and tungsten's resistance goes with T^1.2, so R goes with
    d^0.23; d^0.25 is counted, and never more than the cold filament draws. The heat I²·d is the largest at the largest
    duty. A filament that cools between two pulses draws its inrush at each of them.
    """

    def at(duty: Any) -> Fact:
        more = least_of([lamp.inrush_factor, at_least(duty, 1e-9) ** -DIMMED])
        told = f"{state.largest.source}, {show(more, '')} times as the filament is cooler at a duty of {show(duty, '')}"
        return combine(state.largest.value * more, told, state.largest)

    rate = 0.0 if state.rate is None else state.rate
    often = largest_of([rate, state.frequency * one_above(1.0 / state.frequency, lamp.inrush_time * FOLLOWS)])
    known = state.rate is not None or 1.0 / state.frequency > lamp.inrush_time * FOLLOWS
    return replace(state, largest=at(state.duty.min), heating=at(state.duty.max), rate=often if known else state.rate)


def _inductive(situation: "Situation", load: Any, state: LoadState) -> LoadState:
    """With inductance and least resistance of the winding of a coil or motor."""
    if not isinstance(load, Coil | Motor):
        return state
    name, count, resistance = state.name, load.count, NOT_STATED
    if isinstance(load, Coil):
        ohms, coldest = cold_resistance(load, situation)
        where = f"{resistance_named(name, load)} at low tolerance and {show(coldest, '°C')}"
        resistance = Fact(ohms / count, where, assumed=as_measured(name, load))
    elif load.resistance is not None:
        least = load.resistance.min
        if load.measured is not None:  # known at 20 °C; a winding in colder air has less
            coldest = situation.board.surroundings.ambient.min
            least = least_of([least, coils.winding_resistance(least, coldest)])
        resistance = Fact(least / count, f"{resistance_named(name, load)}, least", assumed=as_measured(name, load))
    if load.inductance is None:
        unknown = Fact(NAN, "", (f"{name}.inductance",))
        return replace(state, resistance=resistance, inductance=unknown, inductance_typical=unknown)
    return replace(
        state,
        resistance=resistance,
        inductance=Fact(load.inductance.max / count, f"{name}.inductance, largest"),
        inductance_typical=Fact(load.inductance.typ / count, f"{name}.inductance"),
    )


def _held(situation: "Situation", name: str, chopped: Chopping, one: "Currents") -> "Currents":
    """The currents of one coil that flows on while chopped, at the duty of each corner; the largest with ripple."""
    least, typical, direct = one
    low = chopped.duty.min if chopped.duty.min > 0 else chopped.duty.typ  # a duty of none says that it may be off

    def share(fact: Fact, duty: float) -> Fact:
        return combine(fact.value * duty, f"{show(duty, '')} of {fact.source}", fact)

    ohms, _ = cold_resistance(situation.board.load[name], situation)  # type: ignore[arg-type]
    largest = held(situation, name, chopped, direct, ohms)
    return lambda: share(least(), low), share(typical, chopped.duty.typ), largest


def _currents(situation: "Situation", name: str, load: Any, rail: Any) -> "Currents":
    """Least (when asked for), typical and largest current of one."""
    if isinstance(load, Motor):
        largest = Fact(load.stall_current, f"{name}.stall_current")
        running = [Fact(v, f"{name}.current") for v in (load.current.min, load.current.typ)]
        return lambda: running[0], running[1], largest
    if load.current is not None:
        ends = [Fact(v, f"{name}.current") for v in load.current]
        return lambda: ends[0], ends[1], ends[2]
    if isinstance(load, Coil):
        cold, coldest = cold_resistance(load, situation)
        hot, middle = hot_resistance(load, situation), load.resistance.typ
        where, noted = f"{load.rail} / {resistance_named(name, load)}", as_measured(name, load)
        return (
            lambda: _over(rail.least, hot, f"{where}, hot", noted),
            _over(rail.typical, middle, f"{where} at 20 °C", noted),
            _over(rail.largest, cold, f"{where} at low tolerance and {show(coldest, '°C')}", noted),
        )
    if isinstance(load, LedString):
        volts, ohms = load.forward_voltage, load.resistance
        assert volts is not None and ohms is not None

        def at(feed: Fact, drop: Any, r: Any) -> Fact:
            current = at_least(feed.value - drop, 0.0) / r
            return combine(current, f"({load.rail} {show(feed.value, 'V')} − {show(drop, 'V')}) / {show(r, 'Ω')}", feed)

        return (
            lambda: at(rail.least, volts.max, ohms.max),
            at(rail.typical, volts.typ, ohms.typ),
            at(rail.largest, volts.min, ohms.min),
        )
    assert isinstance(load, Resistive | LogicInput) and isinstance(load, Resistive) and load.resistance is not None
    ohms = load.resistance
    where, noted = f"{load.rail} / {resistance_named(name, load)}", as_measured(name, load)
    return (
        lambda: _over(rail.least, ohms.max, where, noted),
        _over(rail.typical, ohms.typ, where, noted),
        _over(rail.largest, ohms.min, where, noted),
    )


def _over(volts: Fact, ohms: Any, where: str, noted: tuple[str, ...] = ()) -> Fact:
    source = f"{where}: {show(volts.value, 'V')} / {show(ohms, 'Ω')}"
    return combine(volts.value / ohms, source, volts, Fact(ohms, assumed=noted))
