"""Limits: what may be connected at all, worked out; each limit with the part and the requirement that sets it."""

import math
from dataclasses import dataclass

from partcheck.board.roles import Clamp, Terminal
from partcheck.board.surroundings import AtOnce
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.cautions import cautions
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.judge.unjudged import not_judged
from partcheck.jobs.sweep.bounds import Limit, SetBy, WantedLimit, gives_way, solved, standing
from partcheck.jobs.sweep.quantities import allowed, coil_energy, coldest_air, hottest_air, load_current, rail_voltage
from partcheck.jobs.sweep.run import judged
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.paths import rail_of
from partcheck.stages import during


@dataclass(frozen=True)
class ChannelLimits:
    """A load, its switch, and its limits; ``own`` those that the channel's own parts would allow."""

    load: str
    switch: str
    part: str | None
    rail: str | None
    limits: tuple[Limit, ...]


@dataclass(frozen=True)
class AtOnceLimit:
    """How many of some channels may be on at once, any of them; what gives way with one more."""

    names: tuple[str, ...]
    most: int
    set_by: SetBy | None


@dataclass(frozen=True)
class Limited:
    """The rating sheet of a board, or of one channel."""

    setup: Setup
    situation: Situation
    verdict: Verdict
    standing: tuple[SetBy, ...]
    channels: tuple[ChannelLimits, ...]
    air: tuple[Limit, ...]
    at_once: AtOnceLimit | None
    cautions: tuple[str, ...]

    @property
    def not_judged(self) -> tuple[str, ...]:
        """What a reviewer would ask and is not judged here."""
        return not_judged(self.situation.board)


@during("looking for the limits")
def limits(setup: Setup, only: str | None = None) -> Limited:
    """The limits of every channel and of the board; of one channel where ``only`` names its load."""
    situation = setup.situation
    chosen = [(load, ref) for load, ref in channel_loads(situation) if only in (None, load)]
    air = [WantedLimit(allowed(situation.board, quantity(situation))) for quantity in (hottest_air, coldest_air)]
    of_channels = [_of_channel(situation, load) for load, _ in chosen]
    solutions, now = solved(situation, [w for wanted in (air, *of_channels) for w in wanted])
    found = iter(solutions)
    of_air = tuple(next(found) for _ in air)
    channels = tuple(
        ChannelLimits(load, ref, _number(situation, ref), rail_of(situation, load), tuple(next(found) for _ in wanted))
        for (load, ref), wanted in zip(chosen, of_channels, strict=True)
    )
    places, links = judge_board(situation)
    return Limited(
        setup,
        situation,
        min((j.verdict for j in (*places, *links)), default=Verdict.MEETS),
        tuple(standing(now, 0)),
        channels,
        of_air,
        _at_once(situation) if only is None else None,
        tuple(cautions(situation, places)),
    )


def channel_loads(situation: Situation) -> list[tuple[str, str]]:
    """Every load that a switch of the board pulls, and that switch."""
    return [
        (load, ref) for ref, role in situation.board.switches() for load in role.load if load in situation.board.load
    ]


def _of_channel(situation: Situation, load: str) -> list[WantedLimit]:
    """Current, rail voltage, coil energy and air; of voltage and air also what the channel's own parts allow."""
    rail, own = rail_of(situation, load), own_parts(situation, load)
    volts = rail_voltage(situation, rail) if rail is not None else None
    air = allowed(situation.board, hottest_air(situation))
    made = [(load_current(situation, load), None), (volts, None), (volts, own), (coil_energy(situation, load), None)]
    found = [
        WantedLimit(allowed(situation.board, q), whose) for q, whose in made if q is not None and math.isfinite(q.base)
    ]
    return [*found, WantedLimit(air), WantedLimit(air, own)]


def _number(situation: Situation, ref: str) -> str | None:
    part = situation.fitted.get(ref)
    return part.part_number if part is not None else None


def own_parts(situation: Situation, load: str) -> frozenset[str]:
    """What a channel does not share: its switch and what hangs on it, its clamps, cable, tracks and terminals."""
    board = situation.board
    switch = board.switch_of(load)
    made = {f"cable {load}", f"load {load}"}
    if switch is not None:
        made |= {switch, *(name for name in board.role[switch].load if name in board.role)}  # type: ignore[union-attr]
    made |= {ref for ref, clamp in board.of_type(Clamp) if clamp.load == load}
    made |= {f"track {name}" for name, track in board.track.items() if load in track.load}
    made |= {ref for ref, terminal in board.of_type(Terminal) if any(load in pole.load for pole in terminal.poles)}
    return frozenset(made)


def _at_once(situation: Situation) -> AtOnceLimit | None:
    """How many channels may be on at once, whichever they are and whatever the board's own groups say."""
    names = [
        next(name for name in role.load if name in situation.board.load)
        for _, role in situation.board.switches()
        if any(name in situation.board.load for name in role.load)
    ]
    if len(names) < 2:
        return None
    set_by: SetBy | None = None
    for most in range(len(names), 0, -1):
        board = situation.board.model_copy(update={"at_once": [AtOnce(of=names, most=most)]})
        tried = judged(situation, board, 1)
        if tried.overall[0] >= Verdict.TIGHT:
            return AtOnceLimit(tuple(names), most, set_by)
        set_by = gives_way(tried, 0, None)
    return AtOnceLimit(tuple(names), 0, set_by)
