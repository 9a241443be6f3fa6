"""Where each value of a valid TOML text stands, to the character: what :mod:`partcheck.board.edit` cuts and pastes.

The text must have been read by ``tomllib`` before; nothing here checks it.
"""

import re
import tomllib
from dataclasses import dataclass, field

from partcheck.board.locate import Path

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_PLAIN = re.compile(r"[^,\]}#\r\n]*")
_STRING = {
    '"""': re.compile(r'"""(?:[^\\]|\\.)*?"{3,5}(?!")', re.DOTALL),
    "'''": re.compile(r"'''.*?'{3,5}(?!')", re.DOTALL),
    '"': re.compile(r'"(?:[^"\\]|\\.)*"'),
    "'": re.compile(r"'[^']*'"),
}


@dataclass(frozen=True)
class Written:
    """A value as it stands: ``text[start:end]`` with its key, ``text[value:end]`` without."""

    start: int
    value: int
    end: int
    within: Path | None
    """The inline table or array around it; ``None`` where it is a statement of its own."""
    header: Path
    """The header under which it stands."""


@dataclass
class TomlSection:
    """A header and the statements under it; the first section of a text has no header."""

    path: Path
    start: int
    end: int
    """End of its last statement; comments that follow are not its own."""
    indent: str = ""


@dataclass
class Layout:
    """Every value and section of a text, in the order of the text."""

    values: dict[Path, Written] = field(default_factory=dict)
    sections: list[TomlSection] = field(default_factory=list)


def layout(text: str) -> Layout:
    """Find every value and section of a valid TOML text."""
    return _Scan(text).run()


def line_end(text: str, at: int) -> int:
    """The end of the line in which ``at`` stands, before its line break."""
    found = re.compile(r"\r?\n|\Z").search(text, at)
    return found.start() if found else len(text)


def line_start(text: str, at: int) -> int:
    """The start of the line in which ``at`` stands."""
    return text.rfind("\n", 0, at) + 1


class _Scan:
    def __init__(self, text: str) -> None:
        self.text, self.at, self.found = text, 0, Layout()
        self.counts: dict[Path, int] = {}

    def run(self) -> Layout:
        self.header: Path = ()
        section = TomlSection((), 0, 0)
        self.found.sections.append(section)
        while self._skip(_BLANK) < len(self.text):
            start = self.at
            if self.text[start] == "[":
                section = TomlSection(self._header(), line_start(self.text, start), self.at)
                self.found.sections.append(section)
                self.header = section.path
            else:
                section.indent = self.text[line_start(self.text, start) : start]
                self._pair(section.path, None)
            section.end = self.at
        return self.found

    def _skip(self, pattern: re.Pattern[str]) -> int:
        found = pattern.match(self.text, self.at)
        self.at = found.end() if found else self.at
        return self.at

    def _header(self) -> Path:
        listed = self.text.startswith("[[", self.at)
        self.at += 2 if listed else 1
        names = self._key()
        self.at += 2 if listed else 1
        path: Path = ()
        for name in names[:-1]:
            path = self._entered((*path, name))
        path += (names[-1],)
        if listed:
            self.counts[path] = self.counts.get(path, 0) + 1
        return self._entered(path)

    def _entered(self, path: Path) -> Path:
        return (*path, self.counts[path] - 1) if path in self.counts else path

    def _key(self) -> list[str]:
        names = []
        while True:
            self._skip(_SPACE)
            start = self.at
            quoted = self.text[start] in "\"'"
            self._skip(_STRING[self.text[start]] if quoted else _BARE)
            written = self.text[start : self.at]
            names.append(tomllib.loads(f"key = {written}")["key"] if quoted else written)
            self._skip(_SPACE)
            if self.text[self.at] != ".":
                return names
            self.at += 1

    def _pair(self, table: Path, within: Path | None) -> None:
        start = self.at
        path = (*table, *self._key())
        self.at += 1  # the equals sign
        self._skip(_SPACE)
        self._value(path, start, within)

    def _value(self, path: Path, start: int, within: Path | None) -> None:
        begin, text = self.at, self.text
        self.found.values[path] = Written(
            start, begin, begin, within, self.header
        )  # its place in the order is before its parts
        if text[begin] in "[{":
            self._members(path, text[begin] == "{")
        elif text[begin] in "\"'":
            self._skip(_STRING[text[begin : begin + 3]] if text[begin : begin + 3] in _STRING else _STRING[text[begin]])
        else:
            self._skip(_PLAIN)
            self.at = begin + len(text[begin : self.at].rstrip(" \t"))
        self.found.values[path] = Written(start, begin, self.at, within, self.header)

    def _members(self, path: Path, named: bool) -> None:
        self.at += 1
        count = 0
        while self.text[self._skip(_BLANK)] not in "]}":
            if named:
                self._pair(path, path)
            else:
                self._value((*path, count), self.at, path)
            count += 1
            if self.text[self._skip(_BLANK)] == ",":
                self.at += 1
        self.at += 1
