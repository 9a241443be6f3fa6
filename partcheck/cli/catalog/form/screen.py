"""Saying lines and asking for one; nothing here moves a cursor."""

import sys
from collections.abc import Iterable, Sequence

from partcheck.parts.entry import NotSo
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


def ask(prompt: str, words: Sequence[str] = ()) -> str:
    """The line that answers; ``.`` and the end of the input leave, ``<`` goes back, ``!`` ends the questions.

    On a terminal the line can be edited, and the tab key completes ``words``.
    """
    if sys.stdin.isatty():
        _offer(words)
    try:
        line = input(prompt).strip("\r\n")
    except EOFError:
        print()
        raise Leave from None
    signs: dict[str, type[Exception]] = {".": Leave, "<": Back, "!": Finish}
    if line.strip() in signs:
        raise signs[line.strip()]
    return line


def _offer(words: Sequence[str]) -> None:
    """Let the tab key complete these words; where there is no readline (Windows) the line is as it is typed."""
    try:
        import readline
    except ImportError:
        return

    def complete(typed: str, state: int) -> str | None:
        found = [word for word in words if word.casefold().startswith(typed.casefold())]
        return found[state] if state < len(found) else None

    readline.set_completer_delims("\n")
    readline.set_completer(complete)
    readline.parse_and_bind("tab: complete")


def agreed(prompt: str, otherwise: bool) -> bool:
    """Whether the answer is yes; an empty one means ``otherwise``."""
    while True:
        answer = ask(f"{prompt} [{'Y/n' if otherwise else 'y/N'}] ").strip().casefold()
        if answer in ("", "y", "yes", "n", "no"):
            return otherwise if not answer else answer in ("y", "yes")
        say("Please answer y or n.")


def say_slip(slip: NotSo) -> None:
    """What cannot stand, as a sentence."""
    text = str(slip)
    say(text if text.endswith("?") else f"{text}.")


def wording_lines(paragraphs: Sequence[str]) -> list[str]:
    """Paragraphs wrapped, indented."""
    return [line for paragraph in paragraphs for line in wrap(paragraph, "  ")]
