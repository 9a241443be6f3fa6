"""Asking whoever sits at the terminal, and knowing who that is."""

import getpass
import sys
from datetime import datetime


def whoever(by: str) -> str:
    """Who does it: the name given, else the login name."""
    return " ".join(by.split()) or getpass.getuser()


def now() -> str:
    """The time of a change, with its offset from UTC."""
    return datetime.now().astimezone().isoformat(timespec="seconds")


def agrees(question: str) -> bool:
    """Whether a person at a terminal says yes; nobody is asked, and the answer is no, where there is no terminal."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return False
    print(f"{question} [y/N] ", end="", flush=True)
    return sys.stdin.readline().strip().casefold() in ("y", "yes")
