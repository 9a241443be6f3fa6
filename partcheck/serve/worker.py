"""Processes that do the long work, so that it can be watched, and stopped at any moment by ending its process.

A process that has done its work is kept for the next, with the boards it has open. It says what it is doing a few
times a second; when nobody waits for its answer any more it is ended, and another is started for the next work.
"""

from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

import anyio

from partcheck.errors import PartcheckError, UsageError
from partcheck.serve.serving import Serving

AT_ONCE = 2
"""Processes; more work waits its turn."""
_LOOK = 0.03


@dataclass(frozen=True)
class Progress:
    """What the work is doing; ``total`` is 0 where that is not known."""

    what: str
    done: int = 0
    total: int = 0


@dataclass(frozen=True)
class Finished:
    """What the work came to."""

    made: Any


Process = Callable[[Connection, Serving], None]
"""What a process does: work after work that comes through the pipe (``process.py``)."""


class _Worker:
    def __init__(self, does: Process, serving: Serving) -> None:
        context = get_context("spawn")
        self.pipe, other = context.Pipe()
        self.process: BaseProcess = context.Process(target=does, args=(other, serving), daemon=True)
        self.process.start()
        other.close()

    def end(self) -> None:
        self.process.kill()
        self.process.join(5)
        self.pipe.close()


class Workers:
    """The processes of one server."""

    def __init__(self, serving: Serving) -> None:
        self.serving = serving
        self.does: Process | None = None
        """Set by whoever knows all the work there is (``application.py``)."""
        self.idle: list[_Worker] = []
        self.busy: set[_Worker] = set()
        self._turn: anyio.Semaphore | None = None

    async def do(self, work: object, form: str | None) -> AsyncIterator[Progress | Finished]:
        """Do some work: what it is doing, several times, then what it came to. Whoever stops asking stops the work."""
        assert self.does is not None
        self._turn = self._turn or anyio.Semaphore(AT_ONCE)
        if self._turn.value == 0:
            yield Progress("waiting for other work to end")
        async with self._turn:
            worker = self.idle.pop() if self.idle else await anyio.to_thread.run_sync(_Worker, self.does, self.serving)
            self.busy.add(worker)
            fine = False
            try:
                worker.pipe.send((work, form))
                yield Progress("beginning")
                while True:
                    if not worker.pipe.poll():
                        if not worker.process.is_alive():
                            raise UsageError("the work was stopped from outside, perhaps for lack of memory; try again")
                        await anyio.sleep(_LOOK)
                        continue
                    kind, made = worker.pipe.recv()
                    if kind == "at":
                        yield Progress(*made)
                        continue
                    fine = True
                    break
            except (EOFError, OSError):
                raise UsageError("the work was stopped from outside, perhaps for lack of memory; try again") from None
            finally:
                self.busy.discard(worker)
                if fine:
                    self.idle.append(worker)
                else:
                    worker.end()
        if kind == "slip":
            usage, sentence, details = made
            raise (UsageError if usage else PartcheckError)(sentence, details)
        if kind == "fault":
            raise RuntimeError(made)
        yield Finished(made)

    def end(self) -> None:
        """End all of them."""
        for worker in (*self.idle, *self.busy):
            worker.end()
        self.idle.clear()
