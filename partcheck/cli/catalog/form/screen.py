"""Saying lines and asking for one; nothing here moves a cursor."""

import sys
from collections.abc import Iterable

from partcheck.report.lines import wrap


class Leave(Exception):
    """Whoever sits there leaves; a draft is kept."""


class Back(Exception):
    """Back to the question before."""


class Finish(Exception):
    """No more questions; on to the review."""


def say(text: str, indent: str = "") -> None:
    """A paragraph of at most 80 columns."""
    for line in wrap(text, indent):
        print(line)


def say_lines(lines: Iterable[str]) -> None:
    """Lines as they are."""
    for line in lines:
        print(line)


def ask(prompt: str) -> str:
    """The line that answers; ``.`` and the end of the input leave, ``<`` goes back, ``!`` ends the questions."""
    if sys.stdin.isatty():
        import readline  # noqa: F401  (lets the line be edited)
    try:
        line = input(prompt).strip("\r\n")
    except EOFError:
        print()
        raise Leave from None
    signs: dict[str, type[Exception]] = {".": Leave, "<": Back, "!": Finish}
    if line.strip() in signs:
        raise signs[line.strip()]
    return line


def agreed(prompt: str, otherwise: bool) -> bool:
    """Whether the answer is yes; an empty one means ``otherwise``."""
    while True:
        answer = ask(f"{prompt} [{'Y/n' if otherwise else 'y/N'}] ").strip().casefold()
        if answer in ("", "y", "yes", "n", "no"):
            return otherwise if not answer else answer in ("y", "yes")
        say("Please answer y or n.")
