"""Fleet: which of many boards does a change touch, what becomes of each place, and what would do there instead.

The story: find the boards; look at each by itself, in several processes where there are many: the places that have
the part, their verdict as the board stands and after the change, the best stand-ins; then look for one part that
serves all places. A board that cannot be read is told and does not stop the others.
"""

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, replace
from multiprocessing import get_context
from pathlib import Path

from partcheck.board.read import MOST_BYTES
from partcheck.errors import PartcheckError, UsageError
from partcheck.jobs.fleet.changes import Changed, WrongCorrection
from partcheck.jobs.judge.place import Judged, judge_place
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.jobs.swap.swap import Candidate, swap
from partcheck.parts import Part
from partcheck.requirement import Verdict
from partcheck.situation.enclosure import settle_after
from partcheck.stages import during

FEW = 4
"""Up to so many boards are looked at in this process: starting others would take longer."""
STAND_INS = 40
"""Stand-ins of each place among which one for all is looked for."""
TRIED = 5
"""Parts that may serve all places and are judged at each in full."""


@dataclass(frozen=True)
class Sources:
    """What every board is judged with, as the options name it."""

    parts: tuple[Path, ...] = ()
    catalog: str | None = None
    policy: str | None = None

    def open(self, board: Path) -> Setup:
        """One board, opened with these."""
        return open_setup(board, self.parts, self.catalog, self.policy)


@dataclass(frozen=True)
class StandIn:
    """A part that would do at a place, and what else has to change there."""

    part_number: str
    maker: str
    verdict: Verdict
    headroom: float
    changes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Touched:
    """A place that has a part which changed."""

    board: Path
    ref: str
    part: str
    before: Verdict
    after: Verdict
    set_by: str
    """The requirement that decides the verdict after the change; empty where the part is gone."""
    stand_ins: tuple[StandIn, ...]
    compared: int

    @property
    def best(self) -> StandIn | None:
        """The best stand-in, None where there is none."""
        return self.stand_ins[0] if self.stand_ins else None

    @property
    def verdict(self) -> Verdict:
        """What the place comes to: with its part where that still does, else with the best stand-in."""
        stays = self.after if self.set_by else Verdict.FAILS
        return max(stays, self.best.verdict if self.best is not None else Verdict.FAILS)


@dataclass(frozen=True)
class Looked:
    """What became of one board; ``error`` is the sentence for one that cannot be read or judged."""

    board: Path
    touched: tuple[Touched, ...] = ()
    error: str = ""


@dataclass(frozen=True)
class ForAll:
    """One part that serves every place that needs another; the worst of its verdicts there."""

    part_number: str
    maker: str
    verdict: Verdict


@dataclass(frozen=True)
class Fleet:
    """The answer for all boards."""

    changes: tuple[Changed, ...]
    boards: tuple[Looked, ...]
    for_all: tuple[ForAll, ...]

    @property
    def touched(self) -> list[Touched]:
        """Every place that has a part which changed, the worst first."""
        found = [place for board in self.boards for place in board.touched]
        return sorted(found, key=lambda place: (place.verdict, place.after, str(place.board), place.ref))

    @property
    def unread(self) -> list[Looked]:
        """The boards that could not be looked at."""
        return [board for board in self.boards if board.error]

    @property
    def verdict(self) -> Verdict:
        """The worst place; meets where none is touched."""
        return min((place.verdict for place in self.touched), default=Verdict.MEETS)


def board_files(named: Sequence[Path]) -> list[Path]:
    """The board files named, and those (``.toml`` with a ``[role]``) of the folders named, each once, in order."""
    found: dict[Path, None] = {}
    for path in named:
        if path.is_dir():
            inside = [each for each in sorted(path.rglob("*.toml")) if each.is_file() and is_board(each)]
            if not inside:
                raise UsageError(f"{path} holds no board file; name the folder that does")
            found |= dict.fromkeys(inside)
        elif path.exists():
            found[path] = None
        else:
            raise UsageError(f"{path} is not there; check its name and folder")
    return list(found)


def is_board(path: Path) -> bool:
    """Whether a file is one of a board, as far as a look at it tells."""
    with suppress(OSError):
        return path.stat().st_size <= MOST_BYTES and any(
            line.lstrip().startswith(b"[role.") for line in path.read_bytes().splitlines()
        )
    return False


def fleet(boards: Sequence[Path], changes: tuple[Changed, ...], sources: Sources, processes: int = 0) -> Fleet:
    """Look at every board; ``processes`` at most so many at once, 0 for as many as there are processors."""
    looked = list(_look_at_all(boards, changes, sources, processes or os.cpu_count() or 1))
    needing = [place for board in looked for place in board.touched if not place.set_by or place.after < Verdict.TIGHT]
    return Fleet(changes, tuple(looked), tuple(_for_all(needing, sources)))


def _look_at_all(
    boards: Sequence[Path], changes: tuple[Changed, ...], sources: Sources, processes: int
) -> Iterator[Looked]:
    with during("looking at boards", len(boards)) as stage:
        if len(boards) <= FEW or processes == 1:
            for board in boards:
                yield look_at(board, changes, sources)
                stage.done += 1
            return
        with ProcessPoolExecutor(min(processes, len(boards)), get_context("spawn")) as pool:
            count = len(boards)
            for looked in pool.map(look_at, boards, [changes] * count, [sources] * count):
                yield looked
                stage.done += 1


def look_at(board: Path, changes: tuple[Changed, ...], sources: Sources) -> Looked:
    """What becomes of one board."""
    try:
        setup = sources.open(board)
        having = list(_having(setup, changes))
        changed = _corrected(setup, having) if having else setup
        return Looked(board, tuple(_touched(setup, changed, ref, change, changes) for ref, change in having))
    except WrongCorrection:
        raise
    except PartcheckError as slip:
        return Looked(board, error=str(slip))


def _having(setup: Setup, changes: tuple[Changed, ...]) -> Iterator[tuple[str, Changed]]:
    """The places that have a part which changed."""
    for ref, place in setup.board_file.board.role.items():
        if (fitted := place.fitted) is not None:
            yield from ((ref, c) for c in changes if c.concerns(fitted.part_number, fitted.maker))


def _corrected(setup: Setup, having: Sequence[tuple[str, Changed]]) -> Setup:
    """The same board with the right values of its parts, everywhere at once."""
    right: dict[tuple[str, str], Part] = {}
    for ref, change in having:
        part = setup.fitted.get(ref)
        if part is not None and not change.gone:
            right[part.key] = change.applied(part)
    others = [part for part in setup.parts.given if part.key not in right]
    return replace(setup, parts=replace(setup.parts, given=[*right.values(), *others]), notes=[])


def _touched(setup: Setup, changed: Setup, ref: str, change: Changed, changes: tuple[Changed, ...]) -> Touched:
    before, after = judge_place(setup.situation, ref), judge_place(changed.situation, ref)
    stand_ins: list[StandIn] = []
    compared = 0
    if change.gone or after.verdict < Verdict.TIGHT:
        found = swap(changed, ref, STAND_INS)
        compared = found.compared
        stand_ins = [
            _stand_in(made)
            for made in found.candidates
            if not any(other.concerns(made.part.part_number, made.part.maker) for other in changes)
        ]
    part, fitted = setup.fitted.get(ref), setup.board_file.board.role[ref].fitted
    name = part.name if part is not None else fitted.part_number if fitted is not None else ""
    set_by = "" if change.gone else _set_by(after)
    return Touched(setup.board_file.path, ref, name, before.verdict, after.verdict, set_by, tuple(stand_ins), compared)


def _set_by(judged: Judged) -> str:
    """The requirement that decides the verdict: the one that fails most, or is open, or has the least to spare."""
    if judged.verdict is Verdict.UNPROVEN:
        return judged.with_verdict(Verdict.UNPROVEN)[0].id
    return judged.tightest.id if judged.tightest is not None else "no requirement"


def _stand_in(made: Candidate) -> StandIn:
    return StandIn(made.part.part_number, made.part.maker, made.verdict, made.judged.headroom, tuple(made.changes))


def _for_all(places: Sequence[Touched], sources: Sources) -> Iterator[ForAll]:
    """Parts that fit every place as drawn, those that stand highest at all of them first."""
    if len(places) < 2:
        return
    ranks: dict[tuple[str, str], list[int]] = {}
    for place in places:
        for rank, made in enumerate(place.stand_ins):
            if made.verdict >= Verdict.TIGHT and not made.changes:
                ranks.setdefault((made.maker, made.part_number), []).append(rank)
    common = [key for key, found in ranks.items() if len(found) == len(places)]
    for maker, number in sorted(common, key=lambda key: (sum(ranks[key]), key))[:TRIED]:
        verdict = _everywhere(places, sources, maker, number)
        if verdict >= Verdict.TIGHT:
            yield ForAll(number, maker, verdict)


def _everywhere(places: Sequence[Touched], sources: Sources, maker: str, number: str) -> Verdict:
    """The worst verdict of one part that is fitted at all these places at once, and of what it makes worse alone."""
    worst = min(s.verdict for p in places for s in p.stand_ins if (s.maker, s.part_number) == (maker, number))
    for board in dict.fromkeys(place.board for place in places):
        setup = sources.open(board)
        situation = setup.situation
        refs = [place.ref for place in places if place.board == board]
        part = setup.part(refs[0], f"{maker}:{number}")
        for ref in refs:
            situation = settle_after(situation, situation.replaced(ref, part), ref)
        worst = min([worst, *(judge_place(situation, ref).verdict for ref in refs)])
        if worst < Verdict.TIGHT:
            break
    return worst
