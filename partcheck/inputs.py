"""What may be read: ordinary files of a stated size, and TOML of a stated depth; refused before it costs anything."""

import re
import stat
import tomllib
from pathlib import Path
from typing import Any

DEEPEST = 40
"""Tables and lists inside each other, and names in a dotted key; what is read here has at most six."""
DIGITS = 400
"""Of a whole number: as long as the largest float."""
_NAME = r"""(?:[A-Za-z0-9_-]++|"[^"\n]*+"|'[^'\n]*+')"""
_DOTTED = re.compile(rf"(?<![A-Za-z0-9_-])(?:{_NAME}[ \t]*\.[ \t]*){{{DEEPEST}}}")
_DIGITS = re.compile(rf"(?<![0-9A-Za-z_])(?:0[xob])?[0-9A-Fa-f_]{{{DIGITS}}}")


class NotRead(ValueError):
    """A TOML text that is refused; the sentence goes on after the name of the file."""


def objection(path: Path, most: int, wanted: str) -> str:
    """Why a file is not read, as a sentence; empty where it may be. ``OSError`` where nobody can look at it.

    ``wanted`` names what was asked for (``board file``); ``most`` are bytes.
    """
    found = path.stat()
    if stat.S_ISDIR(found.st_mode):
        return f"{path} is a folder; name the {wanted} (.toml) in it"
    if not stat.S_ISREG(found.st_mode):
        return f"{path} is not an ordinary file; save the {wanted} as a file and name that"
    if found.st_size > most:
        size = f"{found.st_size / 1e6:.0f} MB"
        return f"{path} has {size}, far more than a {wanted}; the limit is {most / 1e6:.0f} MB"
    return ""


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
        data = tomllib.loads(text)
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
