"""A question in the trade's words, and how what was typed to it is read."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from partcheck.errors import UsageError, ValueSlip

Given = Mapping[str, str]
NONE = ("none", "no", "-")
"""What is typed for "there is none"; an empty answer takes what is assumed."""


@dataclass(frozen=True)
class PartOf:
    """The answer is a part number (or MAKER:PART) of this kind."""

    kind: str


@dataclass(frozen=True)
class OneOf:
    """The answer is one of these words; others of the trade stand for them."""

    words: tuple[str, ...]
    also: Mapping[str, str]


@dataclass(frozen=True)
class Question:
    """One thing to state: an option of the command, or a line on a terminal.

    ``takes`` names a type of ``board/fields.py``, so that a value is read exactly as in a board file (by name, as help
    loads none of it). ``otherwise`` stands in for what is not stated, ``spread`` is added to a value that states no
    tolerance: both are told as assumed. ``needed`` and ``wanted`` look at the other answers: must it be stated, and is
    it asked at all.
    """

    name: str
    words: str
    takes: str | PartOf | OneOf
    example: str
    otherwise: str = ""
    spread: str = ""
    needed: Callable[[Given], bool] = lambda _: False
    wanted: Callable[[Given], bool] = lambda _: True
    instead: str = ""
    """Another question that answers it as well, for the message where both are missing."""

    @property
    def option(self) -> str:
        """The option as a person types it."""
        return "PART" if self.name == "part" else f"--{self.name}"

    @property
    def help(self) -> str:
        """What it is, with what is assumed where it is not stated."""
        told = self.words if isinstance(self.takes, PartOf) else f"{self.words}, such as '{self.example}'"
        if self.otherwise:
            told += f"; assumed: {self.otherwise}"
        return f"{told}; without a tolerance {self.spread} is assumed" if self.spread else told


@dataclass(frozen=True)
class Answer:
    """What a question was answered with; ``assumed`` says how far that was not stated."""

    question: Question
    text: str
    assumed: str = ""


def read(question: Question, typed: str) -> str:
    """What was typed, checked as the board file would; ``UsageError`` names the option and says what to write."""
    text = " ".join(typed.split())
    try:
        if not text:
            raise ValueError(f"is empty; write it as '{question.example}', or leave it out")
        if isinstance(question.takes, OneOf):
            return _word(question.takes, text)
        if isinstance(question.takes, str):
            _check(question.takes, text)
    except (ValueError, ValueSlip) as slip:
        raise UsageError(f"{question.option}: {slip}") from None
    return text


def answer(question: Question, typed: str) -> Answer:
    """The answer to what was typed, with the tolerance that is assumed where it states none."""
    if typed.casefold() in NONE:
        return Answer(question, "")
    text = read(question, typed)
    if isinstance(question.takes, str) and question.spread and _is_one_value(question.takes, text):
        text = f"{text} {question.spread}"
        try:
            _check(question.takes, text)
        except (ValueError, ValueSlip) as slip:
            raise UsageError(f"{question.option}: {slip}; state its range") from None
        return Answer(question, text, f"its tolerance, {question.spread}")
    return Answer(question, text)


def _word(takes: OneOf, text: str) -> str:
    word = text.casefold()
    found = takes.also.get(word, word)
    if found not in takes.words:
        known = ", ".join((*takes.words, *takes.also))
        raise ValueError(f"{text!r} is not known; it is one of {known}")
    return found


def _check(takes: str, text: str) -> None:
    """Raise ``ValueError`` in the words of the board file, except that it lacks a tolerance or is no window."""
    from pydantic import TypeAdapter, ValidationError

    from partcheck.board import fields

    try:
        TypeAdapter(getattr(fields, takes)).validate_python(text)
    except ValidationError as slips:
        told = str(slips.errors(include_url=False)[0]["msg"]).removeprefix("Value error, ")
        if "states no tolerance" not in told and "write a window" not in told:
            raise ValueError(told) from None


def _is_one_value(takes: str, text: str) -> bool:
    from partcheck.board import fields
    from partcheck.units import parse_span

    measure = fields.measure_of(getattr(fields, takes))
    if measure is None or re.search(r"±|\.\.|%", text):
        return False
    span = parse_span(text, measure.unit)
    return span.min == span.max
