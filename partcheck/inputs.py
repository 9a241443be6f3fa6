"""What may be read: files and pipes of a stated size, and TOML of a stated depth; refused before it costs anything."""

import pickle
import re
import stat
import sys
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache
from pathlib import Path
from typing import Any

DEEPEST = 40
"""Tables and lists inside each other, and names in a dotted key; what is read here has at most six."""
DIGITS = 400
"""Of a whole number: as long as the largest float."""
_NAME = r"""(?:[A-Za-z0-9_-]++|"[^"\n]*+"|'[^'\n]*+')"""
_DOTTED = re.compile(rf"(?<![A-Za-z0-9_-])(?:{_NAME}[ \t]*\.[ \t]*){{{DEEPEST}}}")
_DIGITS = re.compile(rf"(?<![0-9A-Za-z_])(?:0[xob])?[0-9A-Fa-f_]{{{DIGITS}}}")


STANDARD = Path("-")
"""Stands for standard input."""
_piped: ContextVar[dict[str, bytes] | None] = ContextVar("piped", default=None)


class NotRead(ValueError):
    """A TOML text that is refused; the sentence goes on after the name of the file."""


@contextmanager
def piped_once() -> Iterator[None]:
    """Inside, what a pipe held is remembered for all who ask for it: a pipe can be read only once."""
    token = _piped.set({} if _piped.get() is None else _piped.get())
    try:
        yield
    finally:
        _piped.reset(token)


def is_pipe(path: Path) -> bool:
    """Whether a name stands for a pipe: ``-``, or what a shell makes of ``<(command)``."""
    try:
        return path == STANDARD or stat.S_ISFIFO(path.stat().st_mode)
    except (OSError, ValueError):
        return False


def told(path: Path) -> str:
    """A name as a sentence begins with it."""
    return "standard input" if path == STANDARD else str(path)


def folder_of(path: Path) -> Path:
    """Where the files are that a file names: beside it, for a pipe in the current folder."""
    return Path() if is_pipe(path) or path.parts[:2] == ("/", "dev") else path.parent


def read_bytes(path: Path, most: int, wanted: str) -> bytes:
    """What a file or pipe that has no :func:`objection` holds; ``NotRead`` with a sentence for a pipe of more."""
    if not is_pipe(path):
        return path.read_bytes()
    known = _piped.get()
    if known is not None and str(path) in known:
        return known[str(path)]
    if path == STANDARD:
        raw = sys.stdin.buffer.read(most + 1)
    else:
        with path.open("rb") as pipe:
            raw = pipe.read(most + 1)
    if len(raw) > most:
        raise NotRead(
            f"{told(path)} gives more than {most / 1e6:.0f} MB, far more than a {wanted}; check what is piped in"
        )
    if known is not None:
        known[str(path)] = raw
    return raw


def objection(path: Path, most: int, wanted: str) -> str:
    """Why a file is not read, as a sentence; empty where it may be. ``OSError`` where nobody can look at it.

    ``wanted`` names what was asked for (``board file``); ``most`` are bytes.
    """
    if path == STANDARD and (sys.stdin is None or sys.stdin.isatty()):
        return f"nothing is piped into standard input (-); name the {wanted}, or pipe one in"
    if is_pipe(path):
        return ""
    found = path.stat()
    if stat.S_ISDIR(found.st_mode):
        return f"{path} is a folder; name the {wanted} (.toml) in it"
    if not stat.S_ISREG(found.st_mode):
        return f"{path} is not an ordinary file or a pipe; save the {wanted} as a file and name that"
    if found.st_size > most:
        size = f"{found.st_size / 1e6:.0f} MB"
        return f"{path} has {size}, far more than a {wanted}; the limit is {most / 1e6:.0f} MB"
    return ""


@lru_cache(maxsize=4)
def _packed(text: str) -> bytes:
    return pickle.dumps(tomllib.loads(text), pickle.HIGHEST_PROTOCOL)


def toml_of(text: str) -> dict[str, Any]:
    """The data of a TOML text, the reader's own to change.

    The same few texts are read over and over while a board is edited; what was read is kept by the text itself, so
    that it can not be that of another one.
    """
    made: dict[str, Any] = pickle.loads(_packed(text))  # our own bytes, of a moment ago
    return made


def read_toml(text: str) -> dict[str, Any]:
    """The data of a TOML text; :class:`NotRead` where it is deeper, or a number longer, than anything read here.

    ``tomllib.TOMLDecodeError`` where it is no TOML. A dotted key costs the square of its length to read.
    """
    for pattern, what in (
        (_DOTTED, f"a dotted key of more than {DEEPEST} names"),
        (_DIGITS, f"a number of more than {DIGITS} digits"),
    ):
        found = pattern.search(text)
        if found is not None:
            line = text.count("\n", 0, found.start()) + 1
            raise NotRead(f"line {line}: {what}; write it as the format says")
    try:
        data = toml_of(text)
    except RecursionError:
        raise NotRead("it has lists or tables nested far too deeply; write it as the format says") from None
    _refuse_deep(data)
    return data


def _refuse_deep(data: Any) -> None:
    level = [data]
    for _ in range(DEEPEST):
        level = [inner for node in level for inner in _inside(node)]
        if not level:
            return
    raise NotRead(f"it has lists or tables nested more than {DEEPEST} deep; write it as the format says")


def _inside(node: Any) -> list[Any]:
    inner = node.values() if isinstance(node, dict) else node
    return [each for each in inner if isinstance(each, dict | list)]
