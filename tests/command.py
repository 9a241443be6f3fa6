"""Run a command of partcheck as a user does, in this process or in one of its own."""

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, NoReturn

import pytest

from tests.forked import fork

if TYPE_CHECKING:
    from partcheck.parts import Part

SAMPLES = Path(__file__).parent.parent / "catalog_samples"
BOARD = SAMPLES / "bottling-bench.toml"


KNOWN: dict[tuple[str, ...], "Ran"] = {}
"""What ``run_once`` was told before in this file of tests; some answers take megabytes."""


@cache
def sample_parts() -> tuple["Part", ...]:
    """The parts of the samples, read once in a process."""
    from partcheck.parts import read_parts

    return tuple(read_parts(SAMPLES))


class Ran(NamedTuple):
    """What a command printed, and its exit code."""

    code: int
    out: str
    err: str


def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *words: object) -> Ran:
    """Run in this process."""
    from partcheck.__main__ import main

    monkeypatch.setattr(sys, "argv", ["partcheck", *map(str, words)])
    capsys.readouterr()
    with pytest.raises(SystemExit) as ended:
        main()
    caught = capsys.readouterr()
    code = ended.value.code
    assert isinstance(code, int)
    return Ran(code, caught.out, caught.err)


def run_once(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *words: object) -> Ran:
    """Run in this process, and the same words no second time: for commands that read the samples and write nothing."""
    key = tuple(map(str, words))
    if key not in KNOWN:
        KNOWN[key] = run(monkeypatch, capsys, *words)
    return KNOWN[key]


def run_apart(*words: object, **options: object) -> Ran:
    """Run in a process of its own."""
    made = subprocess.run(
        [sys.executable, "-m", "partcheck", *map(str, words)],
        capture_output=True, text=True, check=False, **options,  # type: ignore[call-overload]
    )  # fmt: skip
    return Ran(made.returncode, made.stdout, made.stderr)


def run_forked(*words: object, preexec_fn: Callable[[], None] | None = None, cwd: Path | None = None) -> Ran:
    """Run in a process of its own that begins as a copy of this one, with the program loaded: where there is ``fork``.

    ``preexec_fn`` is called in it first, as by ``subprocess``. What it prints has to fit into a pipe.
    """
    import partcheck.cli.commands  # noqa: F401  - loaded here, once for all copies

    pipes = [os.pipe(), os.pipe()]
    pid = fork()
    if not pid:
        _command_in_a_copy([write for _, write in pipes], list(map(str, words)), preexec_fn, cwd)
    told = []
    for read, write in pipes:
        os.close(write)
        with open(read, encoding="utf-8") as file:
            told.append(file.read())
    return Ran(os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]), *told)


def _command_in_a_copy(
    outputs: list[int], words: list[str], preexec_fn: Callable[[], None] | None, cwd: Path | None
) -> NoReturn:
    code: Any = 1
    try:
        signal.alarm(120)  # a copy that hangs, as a thread of the original held a lock, is killed
        for number, output in enumerate(outputs, 1):
            os.dup2(output, number)
        sys.stdout, sys.stderr = open(1, "w", encoding="utf-8"), open(2, "w", encoding="utf-8")  # noqa: SIM115
        if cwd is not None:
            os.chdir(cwd)
        if preexec_fn is not None:
            preexec_fn()
        from partcheck.__main__ import main

        sys.argv = ["partcheck", *words]
        main()
    except SystemExit as ended:
        code = ended.code
    except BaseException:
        sys.excepthook(*sys.exc_info())
    finally:
        with suppress(OSError):
            sys.stdout.flush()
            sys.stderr.flush()
        os._exit(code)
