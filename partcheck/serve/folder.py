"""The boards of the folder that is served, named by their path in it; nothing beside the folder is ever read."""

import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path, PurePosixPath

from partcheck.board import BoardFile
from partcheck.errors import BoardError, UsageError
from partcheck.jobs.fleet.fleet import is_board

MOST = 1000
"""So many boards are listed."""
LONGEST = 400
"""Characters of the path of a board."""
_NAME = re.compile(r"[^\\\0:*?\"<>|]+\.toml")


class NoSuchBoard(UsageError):
    """A board was asked for that does not lie in the served folder."""


@dataclass(frozen=True)
class Folder:
    """A folder of boards; ``root`` is its real path, without links."""

    root: Path

    def boards(self) -> list[str]:
        """The names of the boards in it: their paths in the folder, with slashes; hidden folders are left out."""
        return list(islice(self._walk(), MOST))

    def _walk(self) -> Iterator[str]:
        for folder, folders, files in os.walk(self.root):
            folders[:] = sorted(name for name in folders if not name.startswith("."))
            for name in sorted(files):
                path = Path(folder, name)
                if _NAME.fullmatch(name) and not name.startswith(".") and self.holds(path) and is_board(path):
                    yield path.relative_to(self.root).as_posix()

    def holds(self, path: Path) -> bool:
        """Whether a path is a thing in the folder, links followed."""
        try:
            return path.resolve(strict=True).is_relative_to(self.root)
        except (OSError, RuntimeError, ValueError):
            return False

    def board(self, name: str) -> Path:
        """The path of the board of that name."""
        path = self.place(name)
        if not self.holds(path) or not path.is_file():
            raise NoSuchBoard(f"there is no board {name} in the folder that is served; choose one of its list")
        return path

    def place(self, name: str) -> Path:
        """Where a board of that name lies or would lie, there or not; its folder is in the served one."""
        pure = PurePosixPath(name)
        steps = pure.parts
        fine = 0 < len(name) <= LONGEST and not pure.is_absolute() and _NAME.fullmatch(name) is not None
        if not fine or any(step.startswith(".") for step in steps):
            raise NoSuchBoard("the name of a board is its path in the folder that is served, ending in .toml")
        path = self.root.joinpath(*steps)
        if not self.holds(path.parent):
            raise NoSuchBoard(f"there is no folder for {name} in the one that is served; choose another name")
        return path

    def refuse_outside(self, board_file: BoardFile) -> None:
        """Refuse a board that names parts or a policy beside the folder."""
        stated = board_file.board
        policy = [stated.policy] if stated.policy and stated.policy.endswith(".toml") else []
        for name in (*stated.parts, *policy):
            path = board_file.path.parent / name
            if path.exists() and not self.holds(path):
                raise BoardError(
                    f"{board_file.path.name} names {name}, which lies outside the folder that is served; "
                    "serve a folder that holds both, or name the parts with --parts"
                )
