"""The long run: ``python -m tests.fuzz [TARGET ...] [--minutes 20]``.

Each target runs in a process of its own, with the branches that an input takes as its guide where Atheris is installed.
An input that ends otherwise than it may is printed with where it happened, once for each place, and the run goes on.
"""

import argparse
import os
import random
import subprocess
import sys
import time
import traceback
from typing import Any

from hypothesis import HealthCheck, given, settings

from tests.workers import peak

MEGABYTES = 1200
"""A process of one target that takes more is ended: some input was not refused in time."""


class Run:
    """One target, put to the test until its time is over."""

    def __init__(self, name: str, seconds: float) -> None:
        from tests.fuzz.targets import TARGETS, tried

        self.name, self.target, self.tried = name, TARGETS[name], tried
        self.count, self.found = 0, dict[str, int]()
        self.fuzz = self._made()
        self.end = time.monotonic() + seconds

    def _made(self) -> Any:
        @settings(database=None, deadline=None, suppress_health_check=list(HealthCheck))
        @given(self.target.inputs())
        def one(made: Any) -> None:
            self.count += 1
            try:
                self.tried(self.target, made)
            except Exception as wrong:
                self._note(wrong, made)

        return one.hypothesis.fuzz_one_input  # type: ignore[attr-defined]

    def _note(self, wrong: Exception, made: Any) -> None:
        frame = traceback.extract_tb(wrong.__traceback__)[-1]
        place = f"{type(wrong).__name__} {frame.filename}:{frame.lineno}"
        self.found[place] = self.found.get(place, 0) + 1
        if self.found[place] == 1:
            print(f"--- {self.name}: {place}\n{made!r}"[:6000], flush=True)
            print("".join(traceback.format_exception(wrong)[-6:]), flush=True)

    def over(self) -> bool:
        """Whether its time is over."""
        return time.monotonic() > self.end

    def told(self) -> str:
        """What was tried and what it took, in a line."""
        wrong = f"{sum(self.found.values())} ended wrong at {len(self.found)} places"
        return f"{self.name}: {self.count} inputs, {wrong}, {peak():.0f} MB"


def guided(name: str, seconds: float) -> None:
    """Let Atheris choose the inputs by the branches that they take."""
    import atheris

    with atheris.instrument_imports(include=["partcheck"]):
        run = Run(name, seconds)

    def one(data: bytes) -> None:
        run.fuzz(data)
        if run.over():
            print(run.told(), flush=True)
            os._exit(0)

    atheris.Setup([sys.argv[0], "-max_len=4096", "-len_control=0", f"-rss_limit_mb={MEGABYTES}", "-verbosity=0"], one)
    atheris.Fuzz()


def at_random(name: str, seconds: float) -> None:
    """Choose the inputs at random."""
    run, draw = Run(name, seconds), random.Random(time.time_ns())
    while not run.over():
        run.fuzz(draw.randbytes(draw.choice((64, 512, 4096))))
    print(run.told(), flush=True)


def main() -> int:
    """Run the targets one after another, as many at once as there are cores."""
    words = argparse.ArgumentParser(prog="python -m tests.fuzz", description="Invent inputs, and try each of them.")
    words.add_argument("target", nargs="*", help="what is tried; all of it where nothing is named")
    words.add_argument("--minutes", type=float, default=20.0, help="for all of them together")
    words.add_argument("--random", action="store_true", help="without a guide")
    words.add_argument("--one", help=argparse.SUPPRESS)
    asked = words.parse_args()
    if asked.one:
        try:
            import atheris  # noqa: F401  # may not be there
        except ImportError:
            asked.random = True
        (at_random if asked.random else guided)(asked.one, asked.minutes * 60)
        return 0
    from tests.fuzz.targets import TARGETS

    names = asked.target or list(TARGETS)
    if unknown := set(names) - set(TARGETS):
        words.error(f"there is no target {min(unknown)}; there are {', '.join(TARGETS)}")
    return _all(names, asked.minutes, ["--random"] if asked.random else [])


def _all(names: list[str], minutes: float, options: list[str]) -> int:
    cores = min(os.cpu_count() or 1, len(names))
    command = [sys.executable, "-m", "tests.fuzz", "--minutes", str(minutes * cores / len(names)), *options]
    waiting, worst = list(names), 0
    running: list[subprocess.Popen[bytes]] = []
    while waiting or running:
        while waiting and len(running) < cores:
            running.append(subprocess.Popen([*command, "--one", waiting.pop(0)]))
        time.sleep(0.5)
        worst = max([worst, *(abs(process.returncode) for process in running if process.poll() is not None)])
        running = [process for process in running if process.returncode is None]
    return worst


if __name__ == "__main__":
    sys.exit(main())
