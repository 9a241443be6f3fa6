"""Boards kept open between two questions, as long as nothing that they were made of has changed.

A board is known by its own text, by size and time of the parts files that it is judged with, and by the last change of
the catalog. What a situation has worked out is remembered in it, so that a second question of the same board is
answered from there; one thread at a time asks it.
"""

import threading
from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

from partcheck.board import BoardFile, parse_board
from partcheck.board.read import read_text
from partcheck.errors import UsageError
from partcheck.jobs.judge.setup import Setup, setup_of
from partcheck.policy import POLICIES
from partcheck.serve.fitting import Fit, with_fits
from partcheck.serve.folder import Folder
from partcheck.serve.serving import Serving

KEPT = 6
"""Boards that are kept open at once; each holds what was worked out of it."""
ANSWERS = 24
"""Answers of one board that are kept."""
MOST_FILES = 50
"""Board files that are kept as they were read."""
_READ = (".csv", ".json", ".xlsx", ".xlsm", ".ods", ".toml")
_Made = TypeVar("_Made")


class WarmBoard:
    """A board that stays open: its setup, and the answers given of it."""

    def __init__(self, name: str, setup: Setup, as_filed: "WarmBoard | None" = None) -> None:
        setup.lasting = True
        self.name, self.setup = name, setup
        self.as_filed = as_filed or self
        """The board as its file states it; this one may have other parts fitted."""
        self.turn = threading.RLock()
        self._answers: OrderedDict[tuple[Any, ...], Any] = OrderedDict()

    def once(self, key: tuple[Any, ...], make: Callable[[], _Made]) -> _Made:
        """An answer, made when it is first asked for; who asks holds the board's turn."""
        if key not in self._answers:
            self._answers[key] = make()
            while len(self._answers) > ANSWERS:
                self._answers.popitem(last=False)
        self._answers.move_to_end(key)
        made: _Made = self._answers[key]
        return made


class WarmBoards:
    """The boards that are kept open."""

    def __init__(self, serving: Serving, folder: Folder) -> None:
        self.serving, self.folder = serving, folder
        self._turn = threading.Lock()
        self._files: dict[str, BoardFile] = {}
        self._kept: OrderedDict[tuple[Any, ...], WarmBoard] = OrderedDict()

    @contextmanager
    def board(self, name: str, policy: str | None = None, fits: tuple[Fit, ...] = ()) -> Iterator[WarmBoard]:
        """The board of that name while nobody else asks it.

        It is judged by ``policy`` where another one than its own is wanted, and with the parts of ``fits`` in it.
        """
        warm = self._open(name, policy, fits)
        with warm.turn:
            yield warm

    def _open(self, name: str, policy: str | None, fits: tuple[Fit, ...]) -> WarmBoard:
        board_file = self._read(name)
        self.folder.refuse_outside(board_file)
        if policy is not None and policy not in POLICIES:
            raise UsageError(f"{policy!r} is not a policy here; choose {', '.join(POLICIES)}")
        chosen = policy or self.serving.policy
        key = (name, board_file.fingerprint, chosen, self._state(board_file))
        plain = self._kept_or((*key, ()), lambda: self._fresh(name, board_file, chosen))
        if not fits:
            return plain
        with plain.turn:
            return self._kept_or((*key, fits), lambda: WarmBoard(name, with_fits(plain.setup, fits), plain))

    def _read(self, name: str) -> BoardFile:
        """The board as its file is now; a text that was read before is not read again."""
        path = self.folder.board(name)
        text = read_text(path)
        with self._turn:
            known = self._files.get(name)
        if known is None or known.text != text:
            known = parse_board(text, path)
            with self._turn:
                self._files[name] = known
                while len(self._files) > MOST_FILES:
                    del self._files[next(iter(self._files))]
        return known

    def _fresh(self, name: str, board_file: BoardFile, policy: str | None) -> WarmBoard:
        return WarmBoard(name, setup_of(board_file, self.serving.parts, self.serving.catalog, policy))

    def _kept_or(self, key: tuple[Any, ...], make: Callable[[], WarmBoard]) -> WarmBoard:
        with self._turn:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        made = make()
        with self._turn:
            kept = self._kept.setdefault(key, made)  # somebody else may have been quicker
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
            return kept

    def _state(self, board_file: BoardFile) -> tuple[object, ...]:
        """What changes when anything changes that the board is judged with, beside its own text."""
        sources = [*self.serving.parts] or [board_file.path.parent / part for part in board_file.board.parts]
        policies = [Path(self.serving.policy)] if self.serving.policy else []
        if board_file.board.policy and board_file.board.policy.endswith(".toml"):
            policies.append(board_file.path.parent / board_file.board.policy)
        files = tuple(each for source in (*sources, *policies) for each in _files(source))
        alone = bool(sources) and self.serving.catalog is None
        return (files, () if alone else _state_of_catalog(self.serving.catalog))


def _files(source: Path) -> Iterator[tuple[str, int, int]]:
    try:
        inside = sorted(source.iterdir()) if source.is_dir() else [source]
        for path in inside:
            if path.suffix.casefold() in _READ and path.is_file():
                found = path.stat()
                yield str(path), found.st_size, found.st_mtime_ns
    except OSError:
        yield str(source), -1, -1


def _state_of_catalog(where: str | None) -> tuple[object, ...]:
    """Size and time of a catalog file; of a server, its last change."""
    from partcheck.catalog import open_catalog
    from partcheck.catalog.place import find_place
    from partcheck.catalog.snapshot import state_of_file
    from partcheck.errors import PartcheckError

    path = find_place(where).path
    if path is not None:
        return tuple(state_of_file(path))
    try:
        with open_catalog(where) as catalog:
            last = catalog.last_change()
            return ("server", last.id if last is not None else 0)
    except PartcheckError:
        return ("none",)
