"""Words and columns for a terminal of 80 columns, without colour."""

import re
import textwrap
import unicodedata
from collections.abc import Iterable, Sequence

from partcheck.requirement import Verdict
from partcheck.units import show

WIDTH = 80
_UNSEEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200b-\u200f\u202a-\u202e\u2060-\u206f\ud800-\udfff\ufeff\ufff0-\uffff]"
)


def plain(text: object) -> str:
    """A text from outside without what would not be seen or would turn its surroundings round."""
    return _UNSEEN.sub("\ufffd", str(text))


def wrap(text: str, first: str = "", rest: str | None = None) -> list[str]:
    """A paragraph, ``first`` before its first line and ``rest`` (default: as wide a blank) before the others."""
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=" " * len(first) if rest is None else rest,
        break_long_words=True,
        break_on_hyphens=False,
    ) or [first.rstrip()]


def visible(text: str) -> str:
    """A text of anybody's with nothing in it that acts on a terminal: ``"a\\x1b[1m"`` reads ``"a␛[1m"``."""
    return "".join(map(_visible, text))


def _visible(letter: str) -> str:
    if letter < " ":
        return chr(0x2400 + ord(letter))
    if letter == "\x7f":
        return "\u2421"
    hidden = unicodedata.category(letter) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
    return f"\\u{ord(letter):04x}" if hidden else letter


def labelled(label: str, text: str, indent: int = 4, width: int = 12) -> list[str]:
    """A labelled paragraph with a hanging indent."""
    return wrap(text, " " * indent + f"{label:<{width}}", " " * (indent + width))


def verdict_word(verdict: Verdict) -> str:
    """The verdict as it stands in a table; a failure is louder, for readers of black and white."""
    return "FAILS" if verdict is Verdict.FAILS else verdict.word


def percent(headroom: float) -> str:
    """Headroom in per cent: ``31 %``; ``none`` for minus infinity, ``-`` where there is none to tell."""
    if headroom != headroom:
        return "-"
    if headroom == float("-inf"):
        return "none"
    if headroom < -9.99:
        return "< -999 %"
    return f"{headroom * 100:.{1 if 0 < abs(headroom) < 0.0095 else 0}f} %"


def number(value: float, unit: str) -> str:
    """A value with its unit; ``?`` where it is missing."""
    return show(value, unit)


def counted(count: int, one: str, many: str = "") -> str:
    """``1 place``, ``3 places``."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def columns(rows: Iterable[Sequence[str]], gap: int = 2, right: Sequence[int] = (), indent: int = 2) -> list[str]:
    """Rows as aligned columns; the last column wraps into its own width."""
    table = [list(row) for row in rows]
    if not table:
        return []
    count = len(table[0])
    widths = [max(len(row[i]) for row in table) for i in range(count)]
    before = indent + sum(width + gap for width in widths[:-1])
    made: list[str] = []
    for row in table:
        cells = [cell.rjust(widths[i]) if i in right else cell.ljust(widths[i]) for i, cell in enumerate(row[:-1])]
        head = " " * indent + "".join(cell + " " * gap for cell in cells)
        last = row[-1].rjust(widths[-1]) if count - 1 in right else row[-1]
        if before > WIDTH - 16 or not last.strip():
            made += [(head + last).rstrip()]
        else:
            made += [line.rstrip() for line in wrap(last, head, " " * before)]
    return made


def heading(text: str) -> list[str]:
    """A heading with a line under it."""
    return [text, "-" * min(len(text), WIDTH)]


def listing(items: Iterable[str], bullet: str = "  - ") -> list[str]:
    """Paragraphs, one each, after a bullet."""
    return [line for item in items for line in wrap(item, bullet)]
