"""How far long work is, on one line of a terminal; nothing where nobody watches.

:func:`watching` looks at what the work says of itself (``partcheck.stages``) from a thread of its own, so that every
command that takes longer than :data:`PATIENCE` shows what it is doing. :class:`ProgressLine` is for work that asks
questions in between and says each step itself.
"""

import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

from partcheck import stages

_WIDTH = 30
PATIENCE = 0.5
"""Seconds before a line appears, so that short work shows none."""
_EVERY = 0.1


class ProgressLine:
    """A line on standard error that is written over and taken away at the end; use it in a ``with`` statement.

    ``with ProgressLine() as line: line("reading", 30, 100)``.
    """

    def __init__(self) -> None:
        self._watched = sys.stderr.isatty()
        self._start = self._last = time.monotonic()
        self._shown = False

    def __enter__(self) -> "ProgressLine":
        return self

    def __exit__(self, *slip: object) -> None:
        self.clear()

    def __call__(self, what: str, done: int, total: int) -> None:
        """Show how much of the work is done; without a total, only what is done."""
        now = time.monotonic()
        if not self._watched or now - self._start < PATIENCE or (total and now - self._last < _EVERY):
            return
        self._last = now
        self.show(what, _share(done, total) if total else " ...")

    def show(self, what: str, share: str) -> None:
        """Write the line over."""
        self._shown = True
        sys.stderr.write(f"\r{what[: 79 - len(share)] + share:<79}")
        sys.stderr.flush()

    def clear(self) -> None:
        """Take the line away."""
        if self._shown:
            sys.stderr.write(f"\r{'':<79}\r")
            sys.stderr.flush()
            self._shown = False


def _share(done: int, total: int) -> str:
    filled = _WIDTH * min(done, total) // total
    return f" [{'#' * filled}{'.' * (_WIDTH - filled)}] {100 * min(done, total) // total} %"


@contextmanager
def watching() -> Iterator[None]:
    """Show what the work in the ``with`` statement says of itself, where standard error is a terminal."""
    if not sys.stderr.isatty():
        yield
        return
    line, lock, over = ProgressLine(), threading.Lock(), threading.Event()
    begun = time.monotonic()

    def look() -> None:
        while not over.wait(_EVERY):
            waited = time.monotonic() - begun
            with lock:
                stage = stages.running()
                if stage is None or waited < PATIENCE:
                    continue
                line.show(stage.what, _share(stage.done, stage.total) if stage.total else f" ... {waited:.0f} s")

    def idle() -> None:
        with lock:
            line.clear()

    thread = threading.Thread(target=look, daemon=True)
    with stages.watched(idle):
        thread.start()
        try:
            yield
        finally:
            over.set()
            thread.join()
            line.clear()
