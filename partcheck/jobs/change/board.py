"""The changes a user may ask for, as values in the board file; and the board as changed.

A change goes into the text of the board file, which is then read again as any other: a wrong value gives the
sentence that it would give in the file, and the board as changed is judged exactly as the edited file would be.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from partcheck.board import parse_board
from partcheck.board.models import Path
from partcheck.board.writing import edited_board
from partcheck.errors import BoardError, UsageError
from partcheck.jobs.change.options import Asked, Asking
from partcheck.jobs.judge.setup import Setup


@dataclass(frozen=True)
class Change:
    """One value of the board file, as it shall be written; ``note`` says what is not plain from it."""

    path: Path
    value: object
    before: object = None
    note: str = ""

    @property
    def key(self) -> str:
        """The key as a board file's messages write it."""
        text = ""
        for step in self.path:
            text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else step
        return text

    def __str__(self) -> str:
        was = "not stated before" if self.before is None else f"instead of {written(self.before)}"
        return f"{self.key} = {written(self.value)}, {was}" + (f" ({self.note})" if self.note else "")


@dataclass(frozen=True)
class Wanted:
    """What was asked for: changes of the file, and what the reader should know about them."""

    load: str
    changes: tuple[Change, ...]
    notes: tuple[str, ...]
    after: Setup | None = None
    """The board with the changes; None where nothing changes."""


def written(value: object) -> str:
    """A value of a board file in a sentence."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {written(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(written, value)) + "]"
    return str(value)


def wanted(setup: Setup, load: str, asked: Asked) -> Wanted:
    """The changes of the board file that ``asked`` means for ``load``."""
    asking = Asking(setup, load, asked)
    data = setup.board_file.stated
    made: dict[Path, Change] = {}
    for path, value, note in asking.values():
        if path in made:
            raise UsageError(f"{made[path].key} is asked for twice, as {made[path].value} and as {value}; say it once")
        made[path] = Change(path, value, _at(data, path), note)
    _refuse_inside(made)
    changes = tuple(change for change in made.values() if change.value != change.before)
    notes = list(asking.notes)
    after = changed(setup, changes) if changes else None
    if after is not None:
        notes += taken_as_they_stand(after, changes)
    return Wanted(load, changes, tuple(notes), after)


def _refuse_inside(made: Mapping[Path, Change]) -> None:
    """Raise where one thing asked for is a part of another."""
    for path, change in made.items():
        outer = next((made[path[:i]] for i in range(1, len(path)) if path[:i] in made), None)
        if outer is not None:
            raise UsageError(f"{outer.key} is asked for as a whole, and {change.key} in it as well; say it once")


def _at(data: Any, path: Path) -> object:
    """What the file states there; None where it states nothing."""
    for step in path:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def changed(setup: Setup, changes: Sequence[Change]) -> Setup:
    """The same parts and policy with the changes written into the board file's text and read again."""
    if not changes:
        return setup
    file = setup.board_file
    text = edited_board(file.text, list(_whole(file.stated, changes)))
    try:
        board_file = parse_board(text, file.path)
    except BoardError as slip:
        raise BoardError(f"with the change asked for, {slip}", slip.details) from None
    return Setup(board_file, setup.parts, setup.policy, lasting=setup.lasting)


def _whole(data: dict[str, Any], changes: Sequence[Change]) -> Iterator[tuple[Path, object]]:
    """The changes with their values; those in a table that is not there yet become that table."""
    tables: dict[Path, dict[str | int, Any]] = {}
    for change in changes:
        depth = next((i for i in range(1, len(change.path)) if _at(data, change.path[:i]) is None), len(change.path))
        if depth == len(change.path):
            yield change.path, change.value
            continue
        inner = tables.setdefault(change.path[:depth], {})
        for step in change.path[depth:-1]:
            inner = inner.setdefault(step, {})
        inner[change.path[-1]] = change.value
    yield from tables.items()


def taken_as_they_stand(after: Setup, changes: Sequence[Change]) -> Iterator[str]:
    """What does not follow a new voltage by itself, so that nobody thinks it did."""
    board = after.board_file.board
    for change in changes:
        if change.path[0] == "rail" and change.path[2:] == ("voltage",):
            rail = str(change.path[1])
            loads = [name for name, load in board.load.items() if load.rail == rail]
            yield from _source_stands(board.rail[rail], rail, {c.path for c in changes})
        elif change.path[0] == "load" and change.path[2:] == ("rail",):
            loads = [str(change.path[1])]
        else:
            continue
        direct = [name for name in loads if board.load[name].current is not None]
        direct = [
            name
            for name in direct
            if all(c.path[:2] != ("load", name) or "current" not in c.path[-1:] for c in changes)
        ]
        if direct:
            yield (
                f"The current of {' and '.join(direct)} is stated directly and was taken as it stands: "
                "at another voltage it may differ."
            )


def _source_stands(rail: Any, name: str, asked: set[Path]) -> Iterator[str]:
    keys = [
        k
        for k in ("current", "fault_current", "transient")
        if getattr(rail, k) is not None and ("rail", name, k) not in asked
    ]
    if keys:
        yield (
            f"What else is stated about the source of {name} was taken as it stands ({', '.join(keys)}); for another "
            f"source state it with --set rail.{name}.KEY=VALUE."
        )
