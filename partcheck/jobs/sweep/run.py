"""Many values of many circuit quantities tried at once: one run of the whole board, one quantity varied at a time."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.board import Board
from partcheck.jobs.sweep.quantities import Adjustable, Path, value_at
from partcheck.readings.columns import Floats
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.swept import Spot, Swept, sweep
from partcheck.units import Span

LARGEST = 150_000
"""Circuits tried at a time, times the places of the board."""
Trial = tuple[Adjustable, Floats]
Where = tuple[str, str]
"""A requirement of a place: reference and id."""


@dataclass(frozen=True)
class TriedValues:
    """What became of the board as it stands (column 0) and of every value tried (the columns of ``slices``)."""

    spots: tuple[Spot, ...]
    slices: tuple[slice, ...]

    @cached_property
    def where(self) -> list[Where]:
        """Place and requirement of each row."""
        return [(spot.ref, id_) for spot in self.spots for id_ in spot.ids]

    @cached_property
    def row(self) -> dict[Where, int]:
        """The row of each requirement of each place."""
        return {where: i for i, where in enumerate(self.where)}

    @cached_property
    def verdicts(self) -> NDArray[np.int8]:
        """Verdicts of every requirement, shape (requirements, circuits); a footprint that differs left aside."""
        return np.concatenate([spot.counted() for spot in self.spots])

    @cached_property
    def headrooms(self) -> Floats:
        """Headrooms in the same shape."""
        return np.concatenate([spot.headrooms for spot in self.spots])

    @cached_property
    def overall(self) -> NDArray[np.int8]:
        """The verdict of the whole board for each circuit."""
        made: NDArray[np.int8] = self.verdicts.min(axis=0, initial=int(Verdict.MEETS))
        return made

    @cached_property
    def worse(self) -> NDArray[np.int64]:
        """How many requirements of each circuit no longer meet that do on the board as it stands."""
        return lost(self.verdicts, self.verdicts[:, :1])

    def part_number(self, ref: str) -> str | None:
        """The part fitted at a place."""
        part = next((spot.part for spot in self.spots if spot.ref == ref), None)
        return part.part_number if part is not None else None


def lost(after: NDArray[np.int8], before: NDArray[np.int8]) -> NDArray[np.int64]:
    """How many requirements met before and do not after, for each circuit."""
    made: NDArray[np.int64] = ((before >= Verdict.TIGHT) & (after < Verdict.TIGHT)).sum(axis=0)
    return made


def together(board: Board, trials: Sequence[Trial]) -> tuple[Board, int, tuple[slice, ...]]:
    """A board of arrays: column 0 as it stands, then each trial's values with all else as it stands."""
    count = 1 + sum(len(values) for _, values in trials)
    full: dict[Path, Any] = {}
    slices: list[slice] = []
    start = 1
    for quantity, values in trials:
        place = slice(start, start + len(values))
        start = place.stop
        slices.append(place)
        changed = quantity.apply(board, values)
        for path, _ in quantity.keys:
            if path not in full:
                full[path] = _spread(value_at(board, path), value_at(changed, path), count)
            _write(full[path], place, value_at(changed, path))
    for path, value in full.items():
        arrays: tuple[Any, ...] = value if isinstance(value, Span) else (value,)
        for array in arrays:
            array.setflags(write=False)  # a fact that added to one in place would change the board
        board = _with(board, path, value)
    return board, count, tuple(slices)


def _spread(old: Any, new: Any, count: int) -> Any:
    if isinstance(new, Span):
        ends: list[Any] = [np.full(count, end, dtype=float) for end in (old or new)]
        return Span(*ends)
    return np.full(count, np.nan if old is None else old, dtype=float)


def _write(full: Any, place: slice, new: Any) -> None:
    pairs: list[tuple[Any, Any]] = list(zip(full, new, strict=True)) if isinstance(full, Span) else [(full, new)]
    for array, value in pairs:
        array[place] = value


def _with(board: Board, path: Path, value: Any) -> Board:
    if len(path) == 2:
        table = getattr(board, path[0])
        return board.model_copy(update={path[0]: table.model_copy(update={path[1]: value})})
    entries = getattr(board, path[0])
    entry = entries[path[1]].model_copy(update={path[2]: value})
    return board.model_copy(update={path[0]: {**entries, path[1]: entry}})


def run(situation: Situation, trials: Sequence[Trial], only: frozenset[str] | None = None) -> TriedValues:
    """Judge the whole board, or the places and links in ``only``, for every value of every trial.

    So many values at a time that what is worked out of them on a large board stays small.
    """
    made = [
        _run(situation, portion, only) for portion in _portions(trials, LARGEST // max(1, len(situation.board.role)))
    ]
    return made[0] if len(made) == 1 else _joined(made)


def _run(situation: Situation, trials: Sequence[Trial], only: frozenset[str] | None) -> TriedValues:
    board, count, slices = together(situation.board, trials)
    swept = sweep(situation, board, count)
    judged = judge_swept(swept, slices, only)
    swept.forget()
    return judged


def _portions(trials: Sequence[Trial], most: int) -> list[list[Trial]]:
    made: list[list[Trial]] = [[]]
    size = 0
    for trial in trials:
        if size and size + len(trial[1]) > most:
            made.append([])
            size = 0
        made[-1].append(trial)
        size += len(trial[1])
    return made


def _joined(made: Sequence[TriedValues]) -> TriedValues:
    """Several runs of one board as one: column 0, the board as it stands, is that of the first."""
    slices, start = [], 0
    for tried in made:
        slices += [slice(start + place.start, start + place.stop) for place in tried.slices]
        start += tried.slices[-1].stop - 1
    known = [{spot.ref: spot for spot in tried.spots} for tried in made]
    counts = [tried.slices[-1].stop for tried in made]
    spots = []
    for ref, spot in {ref: spot for of_run in reversed(known) for ref, spot in of_run.items()}.items():
        same = [of_run.get(ref) for of_run in known]
        asked = {id_ for one in same if one is not None for id_ in one.ids}
        ids = tuple(id_ for id_ in spot.role.requirements if id_ in asked)
        rows = [_rows(one, ids, count) for one, count in zip(same, counts, strict=True)]
        verdicts, headrooms = (
            np.concatenate([row[k][:, bool(i) :] for i, row in enumerate(rows)], axis=1) for k in (0, 1)
        )
        spots.append(replace(spot, ids=ids, verdicts=verdicts, headrooms=headrooms))
    return TriedValues(tuple(spots), tuple(slices))


def _rows(spot: Spot | None, ids: Sequence[str], count: int) -> tuple[NDArray[np.int8], Floats]:
    """What became of these requirements in a run; one that no value tried there asks for meets."""
    verdicts, headrooms = np.full((len(ids), count), Verdict.MEETS, np.int8), np.full((len(ids), count), np.nan)
    for i, id_ in enumerate(ids):
        if spot is not None and id_ in spot.ids:
            row = spot.ids.index(id_)
            verdicts[i], headrooms[i] = spot.verdicts[row], spot.headrooms[row]
    return verdicts, headrooms


def judged(situation: Situation, board: Board, count: int) -> TriedValues:
    """Judge a board of arrays."""
    return judge_swept(sweep(situation, board, count))


def judge_swept(swept: Swept, slices: tuple[slice, ...] = (), only: frozenset[str] | None = None) -> TriedValues:
    """Judge the places and links in ``only``, or all, of a board of arrays."""
    return TriedValues(tuple(spot for spot in swept.spots(only) if spot.ids), slices)
