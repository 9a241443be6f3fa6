"""Every page of ``tests/pages.py``, made once for a whole run of tests.

``python -m tests.made FOLDER`` makes them all, one file each. A run of tests starts that once, whatever the number of
its processes, and reads the files (``Pages``): so no test process grows by what making them takes.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
from collections import OrderedDict
from pathlib import Path

from tests.draws import LONG
from tests.pages import ANSWERS, CATALOG_ANSWERS, Made, hostile_samples, made, made_from

HOSTILE = tuple(
    name for name in sorted(ANSWERS) if name not in ("explain", "plan", "ask", *(() if LONG else ("vet-as-is",)))
)
"""The answers that are made of the samples with hostile names as well."""
KEPT = 3
"""So many answers a process keeps that it has read."""
PATIENCE = 600.0
"""s: so long all pages may take on a busy machine."""


class Pages:
    """The answers on the sample board, made by one process of their own for all processes of a run.

    ``shared`` is the run's folder, the same for each of its processes.
    """

    def __init__(self, shared: Path) -> None:
        self.folder = shared / "pages"
        self.making: subprocess.Popen[bytes] | None = None
        self.read: OrderedDict[Path, Made] = OrderedDict()

    def __call__(self, name: str, hostile: bool = False) -> Made:
        """An answer on the sample board, or on the one whose names try to be markup."""
        path = self.folder / f"{'hostile-' if hostile else ''}{name}.json"
        if path not in self.read:
            self.start()
            self._await(path)
            self.read[path] = Made(**json.loads(path.read_text(encoding="utf-8")))
        self.read.move_to_end(path)
        if len(self.read) > KEPT:
            self.read.popitem(last=False)
        return self.read[path]

    def _await(self, path: Path) -> None:
        until = time.monotonic() + PATIENCE
        while not path.exists():
            failed = self.folder / "failed.txt"
            assert not failed.exists(), failed.read_text(encoding="utf-8")
            assert self.making is None or not self.making.poll(), "the process that makes the pages was killed"
            assert time.monotonic() < until, f"{path.name} is not made within {PATIENCE:.0f} s"
            time.sleep(0.02)

    def start(self) -> None:
        """Start the process that makes them, unless some process of this run has."""
        try:
            self.folder.mkdir()
        except FileExistsError:
            return
        root = Path(__file__).parent.parent
        self.making = subprocess.Popen([sys.executable, "-m", "tests.made", str(self.folder)], cwd=root)

    def close(self) -> None:
        """Wait for the process, so that none is left."""
        if self.making is not None:
            self.making.wait(PATIENCE)


def make_all(folder: Path) -> None:
    """Make every answer, each as one file that is there whole or not at all."""
    tempfile.tempdir = str(folder)  # what a page names as its catalog lies there too

    def keep(name: str, answer: Made) -> None:
        (folder / "draft").write_text(json.dumps(answer._asdict()), encoding="utf-8")
        os.replace(folder / "draft", folder / f"{name}.json")

    for name in (*sorted(ANSWERS), *CATALOG_ANSWERS):  # in the order of the tests
        keep(name, made(name))
    hostile = hostile_samples(folder / "hostile")
    for name in HOSTILE:
        keep(f"hostile-{name}", made_from(name, hostile, hostile.parent))


if __name__ == "__main__":
    where = Path(sys.argv[1])
    try:
        make_all(where)
    except BaseException as slip:
        (where / "failed.txt").write_text(f"the pages cannot be made: {slip!r}", encoding="utf-8")
        raise
