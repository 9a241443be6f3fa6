"""The path of a load's current, listed once: source, feed, pole, track, cable, load, cable, pole, switch, track, pole.

Everything that speaks of a drop adds up this list: the voltage that reaches a load, what it leaves to its switch
or wire, the lowest rail at the board, the lift of a return. Each link is read at its largest resistance and with
the current that really flows there: its own load's, or everything at once that shares it.

What lies at the least rail draws what it draws there: currents that follow the rail (coils and resistances that
state no current of their own) are taken at the least voltage of the source with no drop, which bounds them; all
others at their largest. A pole that is not drawn is not counted; a contact without its largest resistance and a
track without its length are missing.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from partcheck.board import Board
from partcheck.board.loads import Coil, Resistive
from partcheck.board.roles import Pole, Terminal, Track
from partcheck.physics import coils
from partcheck.requirement import Fact
from partcheck.situation.copper import Run, cable_resistance, track_resistance
from partcheck.situation.facts import NOT_STATED, combine, total
from partcheck.situation.loads import cold_resistance
from partcheck.situation.many import at_least, highest, lowest, ratio, show
from partcheck.situation.paths import pole_label, rail_of, rails_behind
from partcheck.situation.sums import Item, all_load_peak, rail_items, return_items, sum_at_once

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

SOURCE, PROTECTION, FEED, SUPPLY = "source", "protection", "feed wire", "supply terminal"
FEED_TRACK, FEED_POLE, CABLE = "feed track", "feed terminal", "cable"
SWITCHED_POLE, SWITCHED_TRACK, SWITCH = "switched terminal", "switched track", "switch"
TRACK, RETURN_TRACK, GROUND, RETURN_POLE = "track", "return track", "ground", "return terminal"
AHEAD = frozenset({SOURCE, PROTECTION, FEED, SUPPLY, FEED_TRACK, FEED_POLE})
"""Stages between the source and the load."""
TRACK_STAGES = {"feed": FEED_TRACK, "switched": SWITCHED_TRACK}


@dataclass(frozen=True)
class Link:
    """One link of a path: its stage and name, and the largest voltage over it, V.

    ``current`` (A) is what flows through it, ``resistance`` (Ω) the largest it has; neither is stated of what
    states its drop. ``whole_rail`` marks what carries the current of a whole rail.
    """

    stage: str
    name: str
    drop: Fact
    current: Fact = NOT_STATED
    resistance: Fact = NOT_STATED
    whole_rail: bool = False


# ---- the currents of a moment


@dataclass(frozen=True)
class Moment:
    """When a path is looked at: with ``load`` on, and with the rail ``lowest`` at its least, all others at their
    largest. Without a load every current is at its peak, inrush and stall counted."""

    situation: "Situation"
    load: str | None = None
    lowest: str | None = None

    def flows(self, items: Iterable[Item]) -> Fact:
        """The largest sum of some currents at this moment, A."""
        return sum_at_once(self.situation, map(self._item, items), self.load)

    def own(self) -> Fact:
        """Current of the load itself, A: stalled, but past its inrush; of a coil that must pull in, hot."""
        assert self.load is not None
        state = self.situation.load(self.load)
        if state.direct.value is None:
            return self._when_lowest(self.load, state.largest, hot=True)
        # hot, the ripple of a chopped coil is a larger share of less: it draws no more than cold, nor than unchopped
        unbroken = self._when_lowest(self.load, state.direct, hot=True)
        return lowest([self._when_lowest(self.load, state.largest), unbroken])

    def _item(self, item: Item) -> Item:
        owner, label, fact = item
        if owner != label:
            return item
        return owner, label, self.own() if owner == self.load else self._when_lowest(owner, fact)

    def _when_lowest(self, name: str, current: Fact, hot: bool = False) -> Fact:
        """A load's current, brought to the least voltage of its rail where it follows it."""
        situation, load = self.situation, self.situation.board.load.get(name)
        if load is None or load.rail != self.lowest or load.current is not None:
            return current
        if not isinstance(load, Coil | Resistive):
            return current
        rail = situation.rail(load.rail)
        share: Any = ratio(rail.unloaded_least.value, rail.largest.value)
        if hot and isinstance(load, Coil):
            cold, _ = cold_resistance(load, situation)
            share = share * cold / (load.resistance.min * hot_factor(situation, load))
        extra = load.extra_current.max if load.extra_current is not None else 0.0
        value = (current.value - extra) * share + extra
        return combine(value, f"{current.source}, at the least {load.rail}", current, rail.unloaded_least)


def hot_factor(situation: "Situation", coil: Coil) -> Any:
    """Resistance of the hottest winding over that at 20 °C; not below 1."""
    span = coil.winding_temperature
    hottest = span.max if span is not None else situation.board.surroundings.ambient.max
    return at_least(coils.winding_resistance(1.0, hottest), 1.0)


# ---- the list


def path_of(situation: "Situation", load: str, at_least_rail: bool = True) -> tuple[Link, ...]:
    """Every link of the path of a load or an indicator that the board states, in order, without the load itself.

    At the least voltage of its rail, or with every rail at its largest.
    """
    rail = rail_of(situation, load)
    moment = Moment(situation, load, rail if at_least_rail else None)
    key = ("path", load, "least" if at_least_rail else "largest")
    made: tuple[Link, ...] = situation.once(key, lambda: tuple(_links(moment, load, rail)))
    return made


def _links(moment: Moment, load: str, rail: str | None) -> Iterator[Link]:
    board, situation = moment.situation.board, moment.situation
    if rail is not None:
        yield from _ahead_of_board(moment, rail)
    yield from _tracks(moment, load, [rail], "feed")
    yield from _poles(moment, load, [rail], "feed")
    drawn = board.load.get(load)
    if drawn is not None and drawn.cable is not None:
        ohms = cable_resistance(situation, Run(drawn.cable, drawn.rail, load))
        yield _resistance(CABLE, f"cable {load}", moment.own(), ohms)
    yield from _poles(moment, load, [rail], "switched")
    yield from _tracks(moment, load, [rail], "switched")
    switch = board.switch_of(load)
    if switch is not None:
        yield Link(SWITCH, switch, situation.quantity(switch, "on_drop_hot"))
    yield from _back(moment, load, rail)


def _back(moment: Moment, load: str | None, rail: str | None, to_source: bool = False) -> Iterator[Link]:
    """From the switch, or from a load that has none, to what makes its rail, or on to the source outside."""
    rails = rails_behind(moment.situation.board, rail) if rail is not None else []
    yield from _tracks(moment, load, rails, "return")
    yield from _ground(moment, load)
    yield from _poles(moment, load, rails if to_source else [rail], "return")


def _ahead_of_board(moment: Moment, rail: str) -> Iterator[Link]:
    """From the source of a rail to the board; nothing for one that a regulator makes."""
    situation, drawn = moment.situation, moment.situation.board.rail[rail]
    whole = moment.flows(rail_items(situation, rail))
    for key in ("source_resistance", "feed_resistance"):
        span = getattr(drawn, key)
        if span is not None:
            stage = SOURCE if key == "source_resistance" else FEED
            yield _resistance(stage, f"{rail} {key}", whole, Fact(span.max, f"rail.{rail}.{key}"), True)
    if drawn.protection_drop is not None:
        drop = Fact(drawn.protection_drop.max, f"rail.{rail}.protection_drop")
        yield Link(PROTECTION, f"{rail} protection", drop, whole, whole_rail=True)
    if drawn.feed is not None:
        yield _resistance(FEED, f"feed {rail}", whole, cable_resistance(situation, Run(drawn.feed, rail)), True)
    yield from _poles(moment, moment.load, [rail], "supply")


def _resistance(stage: str, name: str, current: Fact, ohms: Fact, whole_rail: bool = False) -> Link:
    drop = combine(current.value * ohms.value, f"{show(ohms.value, 'Ω')} · ({current.source})", current, ohms)
    return Link(stage, name, drop, current, ohms, whole_rail)


def passes(drawn: Pole | Track, load: str | None, rails: Iterable[str | None]) -> bool:
    """True where a load's current passes: it is named, or, where none is, the current of the whole rail is."""
    return load in drawn.load if drawn.load else drawn.rail is not None and drawn.rail in rails


def _poles(moment: Moment, load: str | None, rails: Iterable[str | None], side: str) -> Iterator[Link]:
    situation = moment.situation
    for ref, terminal in situation.board.of_type(Terminal):
        for pole in terminal.poles:
            if pole.side == side and passes(pole, load, rails):
                contact = situation.quantity(ref, "contact_resistance_max")
                beside = f" over {len(pole.pole)} poles" if len(pole.pole) > 1 else ""
                ohms = combine(contact.value / len(pole.pole), f"{contact.source}{beside}", contact)
                whole = moment.flows(return_items(situation, pole.rail, pole.load, True))
                yield _resistance(f"{side} terminal", f"{ref} {pole_label(pole)}", whole, ohms, not pole.load)


def _tracks(moment: Moment, load: str | None, rails: Iterable[str | None], side: str) -> Iterator[Link]:
    situation = moment.situation
    for name, track in situation.board.track.items():
        if track.side == side and passes(track, load, rails):
            stage = TRACK_STAGES.get(side, TRACK if track.rail is None else RETURN_TRACK)
            whole = moment.flows(return_items(situation, track.rail, track.load, True))
            yield _resistance(stage, f"track {name}", whole, track_resistance(situation, name), not track.load)


def _ground(moment: Moment, load: str | None) -> Iterator[Link]:
    """What the board states of the return in one number: the lift of a switch, else the shared resistance."""
    board = moment.situation.board
    switch = board.switch_of(load) if load is not None else None
    lift = board.role[switch].lift if switch is not None else None  # type: ignore[union-attr]
    if lift is not None:
        yield Link(GROUND, f"{switch}.lift", Fact(lift, f"{switch}.lift"))
    elif ground_stated(board) and (load is None or switch is not None):  # it lies between switches and drives
        whole = all_load_peak(moment.situation)
        ohms = Fact(board.ground.resistance, f"ground.resistance {show(board.ground.resistance, 'Ω')}")
        yield _resistance(GROUND, "ground", whole, ohms)


def ground_stated(board: Board) -> bool:
    """True where the board states the resistance of the shared return, if only as none."""
    return "resistance" in board.ground.model_fields_set


# ---- what adds up


def added(links: Iterable[Link]) -> Fact:
    """The drops of some links in series, V.

    The tracks of the return and what the board states of the return in one number are the same copper: the larger
    of the two counts.
    """
    links = list(links)
    copper = [link for link in links if link.stage in (TRACK, RETURN_TRACK, GROUND)]
    rest = [(link.name, link.drop) for link in links if link not in copper]
    back = return_copper(copper)
    return total([*rest, *([("return copper", back)] if copper else [])], "V")


def return_copper(links: Iterable[Link]) -> Fact:
    """The drop of the return's tracks in series, or what is stated in one number, whichever is larger, V."""
    links = list(links)
    tracks = total([(link.name, link.drop) for link in links if link.stage in (TRACK, RETURN_TRACK)], "V")
    stated = [link.drop for link in links if link.stage == GROUND]
    return highest([*stated, tracks])


def voltage_at(situation: "Situation", load: str, without: str = "") -> Fact:
    """Least voltage that reaches a load, V; ``without`` leaves out a stage: what is left to it and the load."""
    rail = source_least(situation, situation.board.load[load].rail)
    drop = added(link for link in path_of(situation, load) if link.stage != without)
    return combine(rail.value - drop.value, f"{rail.source}, less {drop.source}", rail, drop)


def voltage_needed(situation: "Situation", load: str) -> Fact:
    """Least voltage at which a load works, V; not stated where the board does not say.

    A coil pulls in by its current: what is stated for a winding at 20 °C rises with the resistance of a hot one.
    """
    drawn = situation.board.load[load]
    if drawn.least_voltage is None:
        return NOT_STATED
    stated = Fact(drawn.least_voltage, f"{load}.least_voltage")
    if not isinstance(drawn, Coil):
        return stated
    assumed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    factor = hot_factor(situation, drawn)
    if drawn.winding_temperature is None:  # what draws the current stays as cool as the air: that drops more
        rise, told = situation.policy.assumption("winding_rise"), situation.policy.assumed_sources
        air = situation.board.surroundings.ambient.max
        factor = at_least(coils.winding_resistance(1.0, air + rise), 1.0)
        if rise != rise:
            missing = (f"{load}.winding_temperature",)
        else:
            assumed = (f"winding_rise = {rise:g} ({told.get('winding_rise', '')})",)
    source = f"{stated.source}, times {show(factor, '')} with the winding hot"
    return Fact(stated.value * factor, source, missing, assumed)


def low_level_of(situation: "Situation", load: str) -> Fact:
    """Voltage at the input of another device over its own ground, but for the drop of the switch, V."""
    links = path_of(situation, load, at_least_rail=False)
    return added(link for link in links if link.stage not in AHEAD and link.stage != SWITCH)


def behind_rail(situation: "Situation", name: str) -> Fact:
    """Drops of a load's path that its rail's least voltage at the board does not count, V: tracks, switch, return."""
    outside = (SOURCE, PROTECTION, FEED, SUPPLY)
    links = [link for link in path_of(situation, name) if link.stage not in outside]
    return added(link for link in links if not (link.stage == RETURN_POLE and link.whole_rail))


# ---- the rail at the board


def rail_links(situation: "Situation", rail: str) -> tuple[Link, ...]:
    """What lies between the source of a rail and the board, both ways: source, protection, feed, poles."""
    moment = Moment(situation, None, rail)
    back = (link for link in _poles(moment, None, [rail], "return") if link.whole_rail)
    made: tuple[Link, ...] = situation.once(("path", rail, "rail"), lambda: (*_ahead_of_board(moment, rail), *back))
    return made


def source_least(situation: "Situation", rail: str) -> Fact:
    """Lowest voltage of what makes a rail, V: stated, or of a regulator what it gives out of regulation too.

    A regulator that its lowest input does not cover follows that input down (``output_lowest`` of its role). Least
    voltages rest on largest currents, and those on largest voltages, so regulators behind each other make no circle.
    """
    regulator = situation.board.rail[rail].regulator
    if regulator is None:
        return situation.rail(rail).unloaded_least
    return situation.quantity(regulator, "output_lowest")


def rail_least(situation: "Situation", rail: str) -> Fact:
    """Lowest voltage of a rail at the board: its source at its least, less everything on the way there and back."""
    least = source_least(situation, rail)
    if situation.board.rail[rail].regulator is not None:
        return least
    drop = added(rail_links(situation, rail))
    return combine(least.value - drop.value, f"{least.source}, less {drop.source}", least, drop)


def feed_resistance(situation: "Situation", rail: str) -> Fact:
    """Largest resistance between source and board, both ways: source, feed, contacts, Ω."""
    known = [(link.name, link.resistance) for link in rail_links(situation, rail) if link.stage != PROTECTION]
    return total(known, "Ω")


# ---- the lift of the return


def lift_of(situation: "Situation", switch: str) -> Fact:
    """Largest lift of a switch over the ground of its drive, V.

    As stated there. Else what the shared resistance and all that is switched make, or the return tracks that state
    their length, whichever is larger. Else the tracks alone.
    """
    role = situation.board.role[switch]
    if role.lift is not None:  # type: ignore[union-attr]
        return Fact(role.lift, f"{switch}.lift")  # type: ignore[union-attr]
    board, moment = situation.board, Moment(situation)
    links = {link.name: link for load in role.load for link in _return_of(moment, load) if link.stage != RETURN_POLE}  # type: ignore[union-attr]
    if not links:
        return Fact(0.0, "no shared return is stated")
    if ground_stated(board):
        return return_copper(link for link in links.values() if not _without_length(board, link))
    return return_copper(links.values())


def _without_length(board: Board, link: Link) -> bool:
    track = board.track.get(link.name.removeprefix("track ")) if link.stage in (TRACK, RETURN_TRACK) else None
    return track is not None and track.length is None


def _return_of(moment: Moment, load: str) -> Iterator[Link]:
    return _back(moment, load, rail_of(moment.situation, load), to_source=True)


def ground_lift(situation: "Situation") -> Fact:
    """Largest voltage over the shared return, V: of the load or the rail whose way back drops most."""
    board, moment = situation.board, Moment(situation)
    things = [*board.load, *(ref for _, switch in board.switches() for ref in switch.load if ref not in board.load)]
    ways = [list(_return_of(moment, name)) for name in things] + [
        list(_back(moment, None, name, True)) for name in board.rail
    ]
    if not any(link.stage != RETURN_POLE for way in ways for link in way):
        return Fact(math.nan, "", ("ground.resistance, or a return track with its length",))
    return highest(added(way) for way in ways)
