"""What each input is put through, and what is wrong with how that ends."""

import contextlib
import io
import json
import math
import os
import signal
import sys
import tempfile
import threading
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from hypothesis import strategies as st

from partcheck.board import parse_board
from partcheck.board.read import read_board
from partcheck.errors import PartcheckError
from partcheck.jobs.change.board import wanted
from partcheck.jobs.change.options import Asked
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.setup import Setup, setup_of
from partcheck.parts.mapping import Mapping, Reading, read_mapping
from partcheck.parts.read import collect, collect_parts
from partcheck.parts.search import Query, check
from partcheck.parts.typed_map import add_typed
from partcheck.policy import find_policy
from partcheck.units import parse, parse_span, show, show_span
from tests.command import SAMPLES
from tests.fuzz import inputs
from tests.fuzz.tables import toml, workbook

SECONDS = 15
"""Of the processor: no input of this size may take longer."""
LONGEST, MOST = 2500, 2000
"""Characters of a sentence, and sentences of one error."""
CODES = (0, 1, 2, 3)


class Wrong(AssertionError):
    """An input ended otherwise than with an answer or a sentence."""


@cache
def folder() -> Path:
    """Where files of inputs are written."""
    made = tempfile.TemporaryDirectory(prefix="fuzz-")
    _KEPT.append(made)
    return Path(made.name)


_KEPT: list[Any] = []


@contextmanager
def in_time() -> Iterator[None]:
    """Inside, what hangs is wrong; where the system can tell."""
    able = hasattr(signal, "setitimer") and threading.current_thread() is threading.main_thread()

    def hangs(*_: object) -> None:
        raise Wrong(f"it takes more than {SECONDS} s")

    before = signal.signal(signal.SIGPROF, hangs) if able else None
    if able:
        signal.setitimer(signal.ITIMER_PROF, SECONDS)
    try:
        yield
    finally:
        if able:
            signal.setitimer(signal.ITIMER_PROF, 0)
            signal.signal(signal.SIGPROF, before)


@contextmanager
def refused_at_most() -> Iterator[None]:
    """Inside, an input may be refused with sentences fit to be shown."""
    with in_time(), warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            yield
        except PartcheckError as told:
            sentences = [str(told), *told.details]
            if len(sentences) > MOST:
                raise Wrong(f"{len(sentences)} sentences") from told
            for sentence in sentences:
                fit_to_show(sentence)


def fit_to_show(sentence: str) -> None:
    """Raise for a sentence that is empty, endless or tells of the program instead of the input."""
    if not sentence.strip() or len(sentence) > LONGEST:
        raise Wrong(f"a sentence of {len(sentence)} characters: {sentence[:200]!r}")
    for inner in ("Traceback", " object at 0x", "pydantic", "errors.pydantic.dev", "NoneType", "<class "):
        if inner in sentence:
            raise Wrong(f"a sentence tells of the program: {sentence[:500]!r}")


def _file(name: str, raw: bytes) -> Path:
    path = folder() / name
    path.write_bytes(raw)
    return path


@cache
def _setup() -> Setup:
    board = parse_board(toml(inputs.valve()), folder() / "valve.toml")
    return setup_of(board, [SAMPLES])


def a_board(raw: bytes) -> None:
    """Read."""
    read_board(_file("board.toml", raw))


def a_judged_board(raw: bytes) -> None:
    """Read and judged: no headroom is worked out that is no number unless something is missing."""
    setup = _setup()
    made = Setup(read_board(_file("board.toml", raw)), setup.parts, setup.policy)
    judge_board(made.situation)


def a_policy(raw: bytes) -> None:
    """Read; what is read is finite."""
    policy = find_policy(str(_file("policy.toml", raw)))
    if not all(map(math.isfinite, [*policy.values.values(), *policy.assumed.values()])):
        raise Wrong("a policy with a value that is not finite")


def a_mapping(raw: bytes) -> None:
    """Read, and a sheet read by it."""
    reading = Reading(read_mapping(_file("map.toml", raw)))
    _told(collect(_file("sheet.csv", inputs.MAPPED.encode()), reading).bad)


def a_typed_map(texts: list[str]) -> None:
    """Understood, and a sheet read by it."""
    mapping, path = Mapping(), _file("sheet.csv", inputs.MAPPED.encode())
    add_typed(mapping, texts, path)
    _told(collect(path, Reading(mapping)).bad)


def _told(bad: Any) -> None:
    for each in bad[:MOST]:
        fit_to_show(str(each))


def _parts(path: Path) -> None:
    good, bad = collect_parts(path)
    _told(bad)
    for part in good:
        json.dumps({name: value for name, value in part.values.items() if value == value}, allow_nan=False)


def some_parts(raw: bytes) -> None:
    """Read as JSON."""
    _parts(_file("parts.json", raw))


def a_sheet(raw: bytes) -> None:
    """Read as CSV, under a name that says what it holds."""
    _parts(_file("mosfet.csv", raw))


def a_workbook(made: dict[str, Any]) -> None:
    """Read as XLSX."""
    path = folder() / "parts.xlsx"
    workbook(path, **made)
    _parts(path)


def a_value(made: tuple[Any, str]) -> None:
    """Read as a number and as a range; what is read is shown."""
    raw, unit = made
    if not isinstance(raw, dict | list | bool):
        with contextlib.suppress(PartcheckError):
            value = parse(raw, unit)
            if not math.isfinite(value) or not show(value, unit):
                raise Wrong(f"{raw!r} was read as {value}")
    if isinstance(raw, list | bool) or (
        isinstance(raw, dict) and not all(isinstance(v, str | int | float) for v in raw.values())
    ):
        return  # whoever reads a file looks at the type first
    span = parse_span(raw, unit)
    if not (span.min <= span.typ <= span.max and all(map(math.isfinite, span)) and show_span(span, unit)):
        raise Wrong(f"{raw!r} was read as {span}")


def a_change(made: dict[str, Any]) -> None:
    """Asked of a load."""
    wanted(_setup(), "FV1", Asked(**made))


def a_search(made: tuple[str, str]) -> None:
    """Understood."""
    check(Query(kind=made[0], where=[made[1]]))


def a_command(words: list[str]) -> None:
    """Run: its code is a documented one, and what it says of errors is short."""
    from partcheck.__main__ import main

    out, err = io.StringIO(), io.StringIO()
    before, sys.argv = sys.argv, ["partcheck", *words]
    os.environ["PARTCHECK_CATALOG"] = str(folder() / "none.sqlite")
    code: object = None
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            main()
    except SystemExit as ended:
        code = ended.code
    finally:
        sys.argv = before
    said = err.getvalue()
    if code not in CODES or "Traceback" in said or len(said) > 30_000 or (code == 2 and not said.strip()):
        raise Wrong(f"{words} ended with {code}: {said[-600:]!r}")


def a_command_on_a_board(made: tuple[bytes, list[str]]) -> None:
    """A whole command on a small board."""
    raw, words = made
    board = str(_file("board.toml", raw))
    a_command([word if word != "BOARD" else board for word in words])


@cache
def _commands() -> list[list[str]]:
    parts = ["--parts", str(SAMPLES)]
    return [
        ["check", "BOARD", *parts, "--json"],
        ["check", "BOARD", *parts, "--no-cures"],
        ["explain", "BOARD", "Q1", *parts],
        ["vet", "BOARD", "FV1", "--voltage", "24 V", "--no-cures", *parts],
        ["missing", "BOARD", *parts],
        ["swap", "BOARD", "Q1", *parts],
        ["board", "check", "BOARD"],
        ["brightness", "BOARD", "D11", *parts],
        ["limits", "BOARD", "FV1", "--json", *parts],
    ]


class Target(NamedTuple):
    """What is invented, and what it is put through; ``few`` are enough for an ordinary run."""

    inputs: Callable[[], st.SearchStrategy[Any]]
    run: Callable[[Any], None]
    few: int


TARGETS: dict[str, Target] = {
    "units": Target(inputs.units, a_value, 800),
    "boards": Target(inputs.boards, a_board, 40),
    "judged": Target(inputs.small_boards, a_judged_board, 10),
    "policies": Target(inputs.policies, a_policy, 150),
    "mappings": Target(inputs.mappings, a_mapping, 150),
    "typed-maps": Target(inputs.typed_maps, a_typed_map, 150),
    "parts": Target(inputs.parts, some_parts, 100),
    "sheets": Target(inputs.sheets, a_sheet, 150),
    "workbooks": Target(inputs.workbooks, a_workbook, 40),
    "changes": Target(inputs.asked, a_change, 40),
    "searches": Target(inputs.searches, a_search, 400),
    "commands": Target(lambda: st.tuples(inputs.small_boards(), st.sampled_from(_commands())), a_command_on_a_board, 3),
}


def tried(target: Target, given: Any) -> None:
    """Put one input through; raises where it does not end as it may."""
    with refused_at_most():
        target.run(given)
