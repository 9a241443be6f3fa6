"""What long work is doing now, so that somebody who waits can be told; work says it, and whoever watches looks.

``with during("searching"):`` covers a stretch of work, ``for part in each("judging parts", parts):`` counts it. Both
only note what is going on; nothing is printed here, and without a watcher nothing happens.
"""

from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TypeVar

_Item = TypeVar("_Item")


@dataclass
class Stage:
    """A stretch of work: what it is, and how much of it is done; ``total`` is 0 where that is not known."""

    what: str
    done: int = 0
    total: int = 0


_running: list[Stage] = []
_watchers: list[Callable[[], None]] = []


def running() -> Stage | None:
    """The stage to tell of: the first that knows how long it is, else the outermost; None between stages."""
    stages = list(_running)
    return next((stage for stage in stages if stage.total), stages[0] if stages else None)


@contextmanager
def during(what: str, total: int = 0) -> Iterator[Stage]:
    """A stretch of work; the stage may be counted up while it lasts."""
    stage = Stage(what, 0, total)
    _running.append(stage)
    try:
        yield stage
    finally:
        _running[:] = [other for other in _running if other is not stage]
        if not _running:
            for idle in _watchers:
                idle()


def each(what: str, items: Collection[_Item]) -> Iterator[_Item]:
    """The items, counted while somebody works on them."""
    with during(what, len(items)) as stage:
        for item in items:
            yield item
            stage.done += 1


@contextmanager
def watched(idle: Callable[[], None]) -> Iterator[None]:
    """``idle`` is called whenever the last stage ends, before anything else is printed."""
    _watchers.append(idle)
    try:
        yield
    finally:
        _watchers.remove(idle)
