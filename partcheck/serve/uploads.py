"""Sheets that a browser brought, kept in a folder of this run until they are entered or forgotten."""

import re
import shutil
import threading
from collections import OrderedDict
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from secrets import token_urlsafe
from weakref import finalize

from partcheck.errors import UsageError
from partcheck.scratch import scratch

KEPT = 6
"""Uploads that are kept at once; each is no larger than a request may be."""
MOST_FILES = 4
ENDINGS = (".csv", ".xlsx", ".json")
IN_FOLDERS = (".csv", ".json")
_STRANGE = re.compile(r"[^\w .()+-]")


@dataclass(frozen=True)
class Upload:
    """What was brought at once: ``source`` is the file, or the folder of several."""

    token: str
    folder: Path
    source: Path


class Uploads:
    """What browsers brought to this run of the server; all of it goes when the server ends."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._kept: OrderedDict[str, Upload] = OrderedDict()
        self._root: Path | None = None

    def keep(self, files: list[tuple[str, bytes]]) -> Upload:
        """Keep these files, each under the last step of its name."""
        named = [(_name(name), data) for name, data in files]
        if not named or len(named) > MOST_FILES:
            raise UsageError(f"choose a sheet to import, or up to {MOST_FILES} CSV files that go together")
        names = {name.casefold() for name, _ in named}
        if len(names) < len(named):
            raise UsageError("two of the files have the same name; give each its own")
        if len(named) > 1 and any(Path(name).suffix.casefold() not in IN_FOLDERS for name in names):
            raise UsageError("several files at once are CSV or JSON; bring a workbook alone")
        with self._turn:
            token = token_urlsafe(18)
            folder = self._root_folder() / token
            sheets = folder / "sheets"
            sheets.mkdir(parents=True)
            for name, data in named:
                (sheets / name).write_bytes(data)
            made = Upload(token, folder, sheets if len(named) > 1 else sheets / named[0][0])
            self._kept[token] = made
            while len(self._kept) > KEPT:
                _, old = self._kept.popitem(last=False)
                shutil.rmtree(old.folder, ignore_errors=True)
            return made

    def get(self, token: str) -> Upload:
        """What was brought under that token."""
        with self._turn:
            if token not in self._kept:
                raise UsageError("the sheet is not here any more; choose it again (a new run of the server keeps none)")
            self._kept.move_to_end(token)
            return self._kept[token]

    def forget(self, token: str) -> None:
        """Throw away what was brought under that token."""
        with self._turn:
            if made := self._kept.pop(token, None):
                shutil.rmtree(made.folder, ignore_errors=True)

    def _root_folder(self) -> Path:
        if self._root is None:
            held = ExitStack()
            self._root = held.enter_context(scratch())
            finalize(self, held.close)
        return self._root


def _name(given: str) -> str:
    """A name for a file that a browser named: its last step, with nothing in it that leads anywhere."""
    name = _STRANGE.sub("-", PurePosixPath(given.replace("\\", "/")).name).strip(" .")
    if Path(name).suffix.casefold() not in ENDINGS or len(name) > 120 or not Path(name).stem.strip(" .-"):
        raise UsageError(f"{given[:120]!r} is not a sheet of parts; bring a file that ends in .csv, .xlsx or .json")
    return name
