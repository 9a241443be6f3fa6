"""How far long work is, on one line of a terminal; nothing where nobody watches."""

import sys
import time

_WIDTH = 30
_PATIENCE = 0.5  # seconds before a line appears, so that short work shows none
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
        if not self._watched or now - self._start < _PATIENCE or (total and now - self._last < _EVERY):
            return
        self._last, self._shown = now, True
        filled = _WIDTH * min(done, total) // total if total else 0
        share = f" [{'#' * filled}{'.' * (_WIDTH - filled)}] {100 * min(done, total) // total} %" if total else " ..."
        sys.stderr.write(f"\r{what[: 79 - len(share)] + share:<79}")
        sys.stderr.flush()

    def clear(self) -> None:
        """Take the line away."""
        if self._shown:
            sys.stderr.write(f"\r{'':<79}\r")
            sys.stderr.flush()
            self._shown = False
