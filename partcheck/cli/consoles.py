"""Text for any console: UTF-8 for what a program reads, else ASCII for what the console's encoding cannot show."""

import codecs
import os
import sys
import unicodedata
from collections.abc import Sequence

HANDLER = "partcheck-spelled"
DATA = frozenset({"--json", "--csv"})
"""Options whose answer is read by a program."""
SPELLED = {
    "Ω": "ohm", "\u2126": "ohm", "µ": "u", "μ": "u", "°": "deg ", "±": "+-", "²": "2", "³": "3", "⁹": "9",
    "−": "-", "–": "-", "—": "-", "·": "*", "⋅": "*", "×": "x", "√": "sqrt", "½": "1/2", "≤": "<=", "≥": ">=",
    "≠": "!=", "∞": "inf", "…": "...", "’": "'", "‘": "'", "“": '"', "”": '"', "„": '"', "€": "EUR", "£": "GBP",
    "→": "->", "←": "<-", "Δ": "delta ", "Σ": "sum ", "α": "alpha", "δ": "delta", "ζ": "zeta", "θ": "theta",
    "λ": "lambda", "π": "pi", "ρ": "rho", "φ": "phi", "Φ": "Phi", "─": "-", "═": "=", "╞": "|", "╡": "|",
    "╪": "|", "│": "|", "├": "|", "┤": "|", "┬": "+", "┴": "+", "┼": "+", "└": "`", "█": "#", "▣": "#",
    "●": "*", "◐": "o", "○": "o", "▼": "v", "✕": "x", "¦": "|", "\u00a0": " ", "\u202f": " ",
}  # fmt: skip


def spelled(text: str) -> str:
    """The text in ASCII: ``spelled("25 °C, 4.7 kΩ ±5 %") == "25 deg C, 4.7 kohm +-5 %"``; else ``?``."""
    return "".join(letter if letter.isascii() else SPELLED.get(letter) or _bare(letter) for letter in text)


def _bare(letter: str) -> str:
    return unicodedata.normalize("NFKD", letter).encode("ascii", "ignore").decode() or "?"


def _spell(slip: UnicodeError) -> tuple[str, int]:
    if not isinstance(slip, UnicodeEncodeError):
        raise slip
    return spelled(slip.object[slip.start : slip.end]), slip.end


codecs.register_error(HANDLER, _spell)


def prepare(words: Sequence[str]) -> None:
    """Make ready what is written to, for a command of these words: nothing that is written can fail for its letters."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors=HANDLER)
    if hasattr(sys.stdout, "reconfigure") and (words[:1] == ["schema"] or not DATA.isdisjoint(words)):
        sys.stdout.reconfigure(encoding="utf-8")


def reopen() -> None:
    """Give a process whose input, output or errors are closed an empty one: nothing is read, what is said is lost."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115  # for as long as the process lives
