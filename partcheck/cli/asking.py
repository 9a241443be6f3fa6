"""Asking whoever sits at the terminal, and knowing who that is."""

import getpass
import sys
from datetime import datetime

from partcheck.errors import UsageError


def given(by: str | None) -> str:
    """The name that was given, empty where none was; a name without a letter is refused."""
    name = " ".join((by or "").split())
    if by is not None and not name:
        raise UsageError("--by is empty; write a name, or leave --by out for your login name")
    return name


def whoever(by: str | None) -> str:
    """Who does it: the name given, else the login name."""
    return given(by) or getpass.getuser()


def now() -> str:
    """The time of a change, with its offset from UTC."""
    return datetime.now().astimezone().isoformat(timespec="seconds")


def agrees(question: str) -> bool:
    """Whether a person at a terminal says yes; nobody is asked, and the answer is no, where there is no terminal."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return False
    print(f"{question} [y/N] ", end="", flush=True)
    return sys.stdin.readline().strip().casefold() in ("y", "yes")
