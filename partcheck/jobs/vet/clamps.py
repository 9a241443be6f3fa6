"""Other clamps for a coil: a plain diode, a Zener or TVS across the switch, a Zener in series with the diode.

Tried where the coil lets go too late, where the switch sees too much voltage, or where the clamp itself fails.
Each is judged with the whole board: one is shown only if every failure that it was looked for is corrected and
nothing else gets worse.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from partcheck.board import Board
from partcheck.board.roles import Clamp
from partcheck.jobs.judge.board import judge_again, judge_board
from partcheck.jobs.judge.place import Judged, judge_place
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.vet.path import clamps
from partcheck.parts import Part
from partcheck.ranking import ENOUGH
from partcheck.readings.explain import Finding
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.clamp import BREAKDOWN, FORWARD
from partcheck.situation.enclosure import settle, settle_after
from partcheck.situation.switch import SwitchFacts

How = Literal["diode", "across-switch", "in-series"]
WAYS: dict[How, str] = {
    "diode": "another plain diode across the load",
    "across-switch": "a Zener or TVS across the switch",
    "in-series": "a Zener in series with the diode",
}
SHOWN = 3
SPARE = 2
"""So many more that cure are looked at before the best are shown: the order by their own place is a first guess."""
TRIED = 12
"""Of each way, no more than so many of the best by their own place are judged with the whole board."""
SWITCH = ("drain-voltage", "collector-voltage")


@dataclass(frozen=True)
class Replacement:
    """A clamp that cures: the parts it is made of, the board with it, and its numbers."""

    how: How
    fitted: tuple[tuple[str, Part], ...]
    verdict: Verdict
    headroom: float
    lets_go: bool
    time: float
    peak: float
    energy: float
    price: float
    footprint: tuple[str, ...]

    @property
    def parts(self) -> list[Part]:
        """The parts that are new on the board."""
        return [part for _, part in self.fitted]


@dataclass(frozen=True)
class Nearest:
    """The clamp that comes nearest where none of a way cures, with what stands in its way."""

    how: How
    part: Part
    against: tuple[tuple[str, Finding], ...]


@dataclass(frozen=True)
class Clamping:
    """What was looked for, and what was found of each way that can be built here."""

    load: str
    asked_for: tuple[tuple[str, Finding], ...]
    ways: tuple[How, ...]
    compared: int
    found: tuple[Replacement, ...]
    nearest: tuple[Nearest, ...]


@dataclass(frozen=True)
class _Drawn:
    """One way of clamping drawn into the board, with a place for the part to be chosen."""

    how: How
    board: Board
    ref: str
    gone: tuple[str, ...]
    also: tuple[tuple[str, Part], ...] = ()

    def base(self, situation: Situation, part: Part) -> Situation:
        """The board so drawn, with a first part in the place."""
        fitted: dict[str, Part | None] = {ref: made for ref, made in situation.fitted.items() if ref not in self.gone}
        fitted |= {self.ref: part, **dict(self.also)}
        made = Situation(self.board, fitted, situation.policy, situation.inside)
        made.drawn = situation.drawn
        return settle(made)

    def filled(self, base: Situation, part: Part) -> Situation:
        """The same with another part."""
        return settle_after(base, base.replaced(self.ref, part), self.ref)


def other_clamps(setup: Setup, load: str, judged: Sequence[Judged]) -> Clamping | None:
    """Look for other clamps where the turn-off of ``load`` fails; None where nothing asks for it."""
    situation = setup.situation
    present = clamps(situation, load)
    wanted = list(_asked_for(situation, load, present, judged))
    if not present or not wanted:
        return None
    drawn = list(_drawings(situation.board, load, present))
    before = {(made.ref, f.id): f for made in judged for f in made.findings}
    diodes = setup.parts.of_kind("diode")
    found: list[Replacement] = []
    nearest: list[Nearest] = []
    for way in drawn:
        if way.how == "in-series":
            way = _with_fit_diode(situation, way, present, wanted, found, nearest)
        could = _could(situation, way, load, diodes)
        if not could:
            continue
        base = way.base(situation, could[0])
        whole = [made for group in judge_board(base) for made in group]
        cured: list[Replacement] = []
        missed: list[tuple[tuple[float, float], Nearest]] = []
        for part in _screened(base, way, could)[:TRIED]:
            if len(cured) == SHOWN + SPARE:
                break
            made = way.filled(base, part)
            every = _every(base, made, way.ref, whole)
            replacement, against = _judged(made, way, load, part, every, wanted, before)
            if replacement is not None:
                cured.append(replacement)
            else:
                short = math.fsum(min(-f.headroom, 10.0) for _, f in against if f.headroom == f.headroom)
                missed.append(((float(len(against)), short), Nearest(way.how, part, tuple(against))))
        cured.sort(key=_rank)
        found += cured[:SHOWN]
        if not cured and missed:
            nearest.append(min(missed, key=lambda item: item[0])[1])
    return Clamping(load, tuple(wanted), tuple(way.how for way in drawn), len(diodes), tuple(found), tuple(nearest))


def _with_fit_diode(
    situation: Situation,
    way: _Drawn,
    present: list[str],
    wanted: Sequence[tuple[str, Finding]],
    found: Sequence[Replacement],
    nearest: Sequence[Nearest],
) -> _Drawn:
    """Where the present diode fails by itself: the pair with the plain diode that does, or is only too slow."""
    diode = next((ref for ref in present if ref != way.ref), None)
    if diode is None or not any(ref == diode and f.id != "release-time" for ref, f in wanted):
        return way
    plain = [made.parts[0] for made in found if made.how == "diode"]
    plain += [n.part for n in nearest if n.how == "diode" and all(f.id == "release-time" for _, f in n.against)]
    fitted = situation.fitted.get(diode)
    plain = [part for part in plain if fitted is None or part.key != fitted.key]
    return replace(way, also=((diode, plain[0]),)) if plain else way


def _asked_for(
    situation: Situation, load: str, present: list[str], judged: Sequence[Judged]
) -> Iterator[tuple[str, Finding]]:
    """The failures of this load's turn-off: of its clamps, and the voltage over its switch."""
    switch = situation.board.switch_of(load)
    for made in judged:
        for finding in made.with_verdict(Verdict.FAILS):
            if made.ref in present or (made.ref == switch and finding.id in SWITCH):
                yield made.ref, finding


def _drawings(board: Board, load: str, present: list[str]) -> Iterator[_Drawn]:
    """The ways that can be drawn in the place of the present clamp."""
    roles: dict[str, Clamp] = {ref: board.role[ref] for ref in present}  # type: ignore[misc]
    own = {ref: role for ref, role in roles.items() if role.load == load and role.position == "board"}
    if len(own) != len(roles) or len({role.across for role in own.values()}) != 1 or len(own) > 2:
        return  # shared or far clamps, and several of them, are not taken apart here
    first = next((ref for ref, role in own.items() if role.conducts == "forward"), present[0])
    other = next((ref for ref in own if ref != first), None)
    gone = (other,) if other is not None else ()
    yield _place(board, "diode", first, gone, across="load", conducts="forward", in_series_with=None)
    last = other or first
    left = tuple(ref for ref in own if ref != last)
    yield _place(board, "across-switch", last, left, across="switch", conducts="breakdown", in_series_with=None)
    diode = own[first]
    if diode.conducts != "forward" or diode.across != "load":
        return
    zener = other or _free(board, f"{first}Z")
    series = diode.model_copy(update={"in_series_with": zener})
    like = own[zener] if zener in own else diode.model_copy(update={"footprint": [], "pin_order": ""})
    added = like.model_copy(update={"conducts": "breakdown", "in_series_with": first, "across": "load"})
    yield _Drawn("in-series", board.model_copy(update={"role": {**board.role, first: series, zener: added}}), zener, ())


def _free(board: Board, name: str) -> str:
    taken = {*board.role, *board.load, *board.track, *board.chip, *board.rail}
    return name if name not in taken else _free(board, f"{name}Z")


def _place(board: Board, how: How, ref: str, gone: tuple[str, ...], **update: object) -> _Drawn:
    role = board.role[ref].model_copy(update=update)
    kept = {name: made for name, made in board.role.items() if name not in gone}
    return _Drawn(how, board.model_copy(update={"role": {**kept, ref: role}}), ref, gone)


def _every(base: Situation, made: Situation, ref: str, whole: Sequence[Judged]) -> list[Judged]:
    """Every place and link of a board after another part was put at ``ref``; only what that touches anew."""
    if base.inside_rise != made.inside_rise:
        return [judged for group in judge_board(made) for judged in group]
    return [judge_again(made, old.ref) if old.ref == ref or ref in base.rests_on(old.ref) else old for old in whole]


def _could(situation: Situation, way: _Drawn, load: str, diodes: Sequence[Part]) -> list[Part]:
    """The parts of a construction that serves, without the present one and those surely too low for the rail."""
    wanted = FORWARD if way.how == "diode" else BREAKDOWN
    present = situation.fitted.get(way.ref) if way.board == situation.board else None
    rail = situation.rail(situation.board.load[load].rail).largest.value
    return [
        part
        for part in diodes
        if part.word("construction") in wanted
        and (present is None or part.key != present.key)
        and not _surely_too_low(part, way.how, rail)
    ]


def _screened(base: Situation, way: _Drawn, parts: Sequence[Part]) -> list[Part]:
    """The parts in the order of how they do in the drawn place alone: fewest shortcomings, then headroom."""
    made: list[tuple[tuple[int, int, float, float], Part]] = []
    for part in parts:
        judged = judge_place(base.replaced(way.ref, part), way.ref)
        short = sum(1 for f in judged.findings if f.counts and f.verdict < Verdict.TIGHT)
        headroom = judged.headroom if judged.headroom == judged.headroom else -math.inf
        price = part.number("price") if part.number("price") == part.number("price") else math.inf
        made.append(((short, len(judged.footprint_changes), -min(headroom, ENOUGH), price), part))
    made.sort(key=lambda item: (item[0], item[1].part_number))
    return [part for _, part in made]


def _surely_too_low(part: Part, how: How, rail: float) -> bool:
    """True where the part blocks less than the rail by its own ratings; a missing one keeps it."""
    if how == "diode":
        return part.number("vrrm") < rail
    return how == "across-switch" and (part.number("vbr_max") < rail or part.number("standoff") < rail)


def _judged(
    made: Situation,
    way: _Drawn,
    load: str,
    part: Part,
    every: Sequence[Judged],
    wanted: Sequence[tuple[str, Finding]],
    before: dict[tuple[str, str], Finding],
) -> tuple[Replacement | None, list[tuple[str, Finding]]]:
    """The replacement where it cures, else what stands against it."""
    new = clamps(made, load)
    asked = {(ref, finding.id) for ref, finding in wanted}
    against: list[tuple[str, Finding]] = []
    grown_tight = False
    for judged in every:
        for f in judged.findings:
            was = before.get((judged.ref, f.id))
            own = judged.ref in new or (judged.ref, f.id) in asked
            worse = f.verdict < (was.verdict if was is not None else Verdict.MEETS)
            if f.counts and f.verdict < Verdict.TIGHT and (own or worse):
                against.append((judged.ref, f))
            grown_tight |= worse and f.counts
    if against:
        return None, against
    by_ref = {judged.ref: judged for judged in every}
    switch = made.board.switch_of(load)
    assert switch is not None
    near = [by_ref[ref] for ref in new]
    peak_of = [f for f in by_ref[switch].findings if f.id in SWITCH]
    known = [h for h in (*(j.headroom for j in near), *(f.headroom for f in peak_of)) if h == h]
    verdicts = [*(j.verdict for j in near), *(f.verdict for f in peak_of), *([Verdict.TIGHT] if grown_tight else [])]
    lets_go = made.facts(way.ref)["release_time"].value is not None
    facts = made.facts(switch)
    assert isinstance(facts, SwitchFacts)
    replacement = Replacement(
        how=way.how,
        fitted=((way.ref, part), *way.also),
        verdict=min(verdicts),
        headroom=min(known, default=math.nan),
        lets_go=lets_go,
        time=made.quantity(way.ref, "release_longest" if lets_go else "decay_longest").value,
        peak=facts.drain_peak().value,
        energy=math.fsum(made.quantity(ref, "energy_pulse").value for ref in new),
        price=math.fsum(one.number("price") for _, one in ((way.ref, part), *way.also)),
        footprint=tuple(f.id for j in near for f in j.footprint_changes),
    )
    return replacement, []


def _rank(made: Replacement) -> tuple[float, float, float, float, str]:
    price = made.price if made.price == made.price else math.inf
    return (
        -int(made.verdict),
        float(len(made.footprint)),
        -min(made.headroom, ENOUGH),
        price,
        made.parts[0].part_number,
    )
