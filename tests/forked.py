"""Copies of a test process, and how they kill themselves on the way."""

import os
import signal
import warnings
from typing import Any


def fork() -> int:
    """As ``os.fork``: in a process with threads of NumPy too."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        return os.fork()


class Killing:
    """Counts what a process does, and kills it before what it does as the ``before``-th thing; never where None."""

    def __init__(self, before: int | None) -> None:
        self.before, self.count = before, 0

    def __call__(self, *_: Any) -> None:
        if self.count == self.before:
            os.kill(os.getpid(), signal.SIGKILL)
        self.count += 1
