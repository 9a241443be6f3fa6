"""What renderings of plain text share: a span as words, and numbers that stay beside their units."""

import re

from partcheck.report.document import Bar, Formula, Id, Line, Name, Number, Sign, Span, UnknownBlock
from partcheck.requirement import Verdict
from partcheck.units import show

TIED = "\u00a0"
"""Between a number and its unit, so that no line breaks there."""
_UNIT = re.compile(
    r"(?<=\d) (?=(?:[pnuµmkM]?(?:V|A|Ω|W|s|H|F|Hz|J|C|m|cd|lm)(?:/[KWs])?|K|K/W|°C|mm²|%|times)(?![\w/]))"
)


def tied(text: str) -> str:
    """The text with every number tied to its unit: ``28.8 V`` never breaks."""
    return _UNIT.sub(TIED, text)


def verdict_word(verdict: Verdict) -> str:
    """The verdict as it is written; a failure is louder, for readers of black and white."""
    return "FAILS" if verdict is Verdict.FAILS else verdict.word


def chain(made: Formula) -> list[str]:
    """A formula's name, its names, its digits and its result, each once."""
    links = [text for text in (made.name, made.symbols, made.digits, show(made.value, made.unit)) if text]
    return [text for i, text in enumerate(links) if i == 0 or text != links[i - 1]]


def span_text(span: Span) -> str:
    """A span in words; numbers are tied to their units."""
    if isinstance(span, str):
        return tied(span)
    if isinstance(span, Number):
        return span.text.replace(" ", TIED)
    if isinstance(span, Id):
        return span.text
    if isinstance(span, Name):
        return tied(span.text)
    if isinstance(span, Sign):
        return span.instead or verdict_word(span.verdict)
    if isinstance(span, Bar):
        return bar(span)
    if isinstance(span, Formula):
        return " = ".join(chain(span))
    raise UnknownBlock(f"no words for {type(span).__name__}")


def bar(span: Bar) -> str:
    """Ten signs for all of a capability: ``=`` to spare, ``!`` by how much it falls short."""
    if span.share != span.share:
        return ""
    size = round(min(1.0, abs(span.share)) * 10)
    return ("!" if span.share < 0 else "=") * max(size, 1)


def line_text(line: Line) -> str:
    """A line in words."""
    return "".join(map(span_text, line))
