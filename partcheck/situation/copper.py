"""Copper between the parts: how hot cables and tracks get, and their largest resistance there.

A limit that is kept bounds the temperature. Where it is not kept, a track is read at the temperature that the
published fit gives it, and the resistance of a wire is not known.
"""

import math
from typing import TYPE_CHECKING, Any, NamedTuple

from partcheck.board.roles import Track
from partcheck.board.surroundings import Cable
from partcheck.operations import keep, prefer, smaller
from partcheck.physics import conductors
from partcheck.physics.conductor_data import WIRE_TABLES, WORST_WIRE
from partcheck.requirement import Fact
from partcheck.situation.brief import brief
from partcheck.situation.facts import NOT_STATED, combine, hottest_air
from partcheck.situation.many import highest, largest_of, least_of, many, show, unknown
from partcheck.situation.paths import load_heating
from partcheck.situation.sums import return_heating

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

CABLE_RISE = 20.0
"""K over the hottest air, where no copper temperature is stated (common practice, no published source)."""
USUAL_RISE = 20.0
"""K: rise of a track where the board states no limit (common practice, no published source)."""
BUNDLED = "mil-std-975m-single"
"""The one table whose source gives factors: for wires that lie side by side, and for their insulation."""


# ---- cables


class Run(NamedTuple):
    """A cable, and what it leads to: a load, or with none the whole rail."""

    cable: Cable
    rail: str
    load: str | None = None

    @property
    def name(self) -> str:
        """How it is called: ``cable FV1``, ``feed V12``."""
        return f"cable {self.load}" if self.load is not None else f"feed {self.rail}"

    def where(self, key: str) -> str:
        """How a key of it is written in an explanation."""
        return f"{self.load}.cable.{key}" if self.load is not None else f"rail.{self.rail}.feed.{key}"


def cable_heating(situation: "Situation", run: Run) -> Fact:
    """Largest current that warms a cable; a start or pulse adds what its copper warms meanwhile, as a current."""
    loads = [run.load] if run.load is not None else []
    if run.load is not None:
        lasts, short = load_heating(situation, loads), brief(situation, None, loads)
    else:
        lasts, short = return_heating(situation, run.rail, []), brief(situation, run.rail, [])
    allowed = wire_allowed(run)
    if allowed.value is None or unknown(allowed.value) or not _flows(Fact(short.time)):
        return lasts
    # what is allowed makes the usual rise; what of it the start makes goes with the square of a current
    hot = cable_temperature(situation, run.cable)
    copper = WORST_WIRE * WORST_WIRE * conductors.adiabatic_rise(short.current.value, run.cable.wire, short.time, hot)
    warms = (lasts.value * lasts.value + allowed.value * allowed.value * copper / CABLE_RISE) ** 0.5
    value = largest_of([lasts.value, least_of([short.current.value, warms])])
    told = f"{lasts.source}, and what {show(short.current.value, 'A')} for {show(short.time, 's')} warms the copper"
    return combine(value, told, lasts, short.current)


def wire_allowed(run: Run) -> Fact:
    """Current that a wire may carry: as typed, else by the chosen table; not stated where the board has neither."""
    cable = run.cable
    if cable.rating is not None:
        return Fact(cable.rating, run.where("rating"))
    if cable.table is None:
        return NOT_STATED
    amperes = conductors.wire_current(cable.table, cable.wire)
    area = show(cable.wire, "m²")
    if amperes is None:
        return Fact(math.nan, "", (f"a row of the table {cable.table} for {area} or less",))
    source = f"table {cable.table}, {area} ({WIRE_TABLES[cable.table].note})"
    if cable.table == BUNDLED:  # its single wire at 70 °C in vacuum, insulation for 200 °C
        return _bundled(run, amperes, source)
    return Fact(amperes, source)


def _bundled(run: Run, amperes: float, source: str) -> Fact:
    """What the table of single wires leaves to the wires of a cable, with their own insulation."""
    cable = run.cable
    if cable.insulation is None:
        return Fact(math.nan, "", (run.where("insulation"),))
    factor = conductors.insulation_factor(cable.insulation)
    if factor is None:
        return Fact(math.nan, "", (f"a factor of the table {cable.table} for {show(cable.insulation, '°C')} or less",))
    side_by_side = conductors.bundle_factor(cable.legs) or 1.0
    told = f"{source}, {cable.legs} in a bundle, insulation for {show(cable.insulation, '°C')}"
    return Fact(amperes * side_by_side * factor, told)


def cable_temperature(situation: "Situation", cable: Cable) -> Any:
    """Hottest copper of a cable that carries no more than it may, K."""
    if cable.temperature is not None:
        return cable.temperature.max
    return situation.board.surroundings.ambient.max + CABLE_RISE


def hot_ohms(situation: "Situation", cable: Cable) -> Any:
    """Largest resistance of a cable that carries no more than it may, all its legs, hot, Ω.

    As much as IEC 60228 allows a flexible wire of its nominal area: 16 % more than ideal copper.
    """
    one = conductors.copper_resistance(cable.length, cable.wire, cable_temperature(situation, cable))
    return WORST_WIRE * one * cable.legs


def cable_resistance(situation: "Situation", run: Run) -> Fact:
    """Largest resistance of a cable, all its legs, hot, Ω; not known where it carries more than it may."""
    copper, ohms = cable_temperature(situation, run.cable), hot_ohms(situation, run.cable)
    words = "both legs" if run.cable.legs == 2 else "one leg"
    source = f"{run.name}: {words} at {show(copper, '°C')}, IEC 60228 class 5"
    allowed = wire_allowed(run)
    if allowed.value is None or unknown(allowed.value):
        return Fact(ohms, source)
    current = cable_heating(situation, run)
    kept = keep(ohms, current.value, situation.policy.value("wire_current") * allowed.value)
    made = combine(kept, source, current)
    if unknown(kept) and not made.missing:
        beyond = f"how hot {run.name} gets with more current than it may carry"
        return Fact(kept, "", current.bounded or (beyond,))
    return made


# ---- tracks


def rise_allowed(situation: "Situation") -> Fact:
    """Largest rise of a track that the board allows, K."""
    limit = situation.board.limits.track_rise
    return Fact(USUAL_RISE, "usual limit") if limit is None else Fact(limit, "limits.track_rise")


def fit_factor(track: Track) -> float:
    """Constant of the published fit for the layer of a track; outside reduced to what newer charts allow."""
    outside = conductors.TRACK_NEWER * conductors.TRACK_OUTSIDE
    return outside if track.layer == "external" else conductors.TRACK_INSIDE


def track_heating(situation: "Situation", track: Track) -> Fact:
    """Largest current that warms a track."""
    if track.rail is not None:
        return return_heating(situation, track.rail, track.load)
    return load_heating(situation, track.load)


def track_start(situation: "Situation", track: Track) -> tuple[Fact, Fact]:
    """Largest current of a start or pulse through a track, A, and by how much it warms the copper alone, K."""
    short, air = brief(situation, track.rail, track.load), hottest_air(situation)
    area, hot = conductors.track_area(track.width, track.thickness), air.value + conductors.TRACK_RISE_MAX
    if not _flows(Fact(short.time)):
        return short.current, Fact(0.0, "no start or pulse")
    rise = conductors.adiabatic_rise(short.current.value, area, short.time, hot)
    told = f"{show(short.current.value, 'A')} for {show(short.time, 's')}, the copper alone"
    return short.current, combine(rise, told, short.current, air)


def track_temperature(situation: "Situation", name: str) -> Fact:
    """Hottest copper of a track, K: as stated, else as warm as the board allows; more where the fit says more."""
    stated = situation.board.surroundings.copper
    air, allowed = hottest_air(situation), rise_allowed(situation)
    base = combine(air.value + allowed.value, "hottest air and the rise allowed", air)
    if stated is not None:
        base = Fact(stated, "surroundings.copper")
    rise = _real_rise(situation, name)
    if rise.value is None:
        return base
    return highest([base, combine(air.value + rise.value, f"hottest air and {rise.source}", air, rise)])


def _real_rise(situation: "Situation", name: str) -> Fact:
    """Rise of a track by the published fit; not stated where the policy does not assume it, missing where it ends."""
    track, assumed = situation.board.track[name], situation.policy.assumption("track_fit")
    if assumed != assumed:
        return NOT_STATED
    current = track_heating(situation, track)
    # the fit ends at 10 mm; a wider track is cooler than one of that width
    area = conductors.track_area(least_of([track.width, conductors.TRACK_WIDTH_MAX]), track.thickness)
    start, more = track_start(situation, track)

    def fit_of(amperes: Fact) -> Any:
        fitted = conductors.track_rise(amperes.value, area, fit_factor(track)) if _flows(amperes) else 0.0
        return assumed * fitted

    warmed = fit_of(current) + more.value
    fit = prefer(smaller(warmed, fit_of(start)), warmed)
    kept = keep(fit, fit, conductors.TRACK_RISE_MAX)
    note = f"track_fit = {assumed:g} ({situation.policy.assumed_sources.get('track_fit', '')})"
    made = combine(kept, f"the rise of {show(current.value, 'A')}", current, more, Fact(0.0, "", (), (note,)))
    if unknown(kept) and not made.missing:
        return Fact(kept, "", made.bounded or (f"how hot track {name} gets beyond the end of the fit",))
    return made


def _flows(current: Fact) -> bool:
    """False for no current at all, of which the fit's power has no value."""
    return many(current.value) or current.value != 0


def track_resistance(situation: "Situation", name: str) -> Fact:
    """Largest resistance of a track, hot, Ω; missing where the board states no length."""
    made: Fact = situation.once(("copper", name), lambda: _track_resistance(situation, name))
    return made


def _track_resistance(situation: "Situation", name: str) -> Fact:
    track = situation.board.track[name]
    if track.length is None:
        return Fact(math.nan, "", (f"track.{name}.length",))
    copper = track_temperature(situation, name)
    ohms = conductors.copper_resistance(track.length, conductors.track_area(track.width, track.thickness), copper.value)
    source = f"track {name}: {show(track.length, 'm')} at {show(copper.value, '°C')} ({copper.source})"
    return combine(ohms, source, copper)
