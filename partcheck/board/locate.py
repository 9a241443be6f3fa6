"""Line of every key in a TOML text, so that a message about a value can name its line."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

Path = tuple[str | int, ...]
_TOKEN = re.compile(r"""\"{3}|'{3}|"(?:\\.|[^"\\])*"|'[^']*'|#.*|[\[\]{}]""")
_CLOSING = {'"' * 3: re.compile(r'(?:\\.|[^"\\]|"(?!""))*?"{3,5}'), "'" * 3: re.compile(r".*?'{3,5}")}


def statements(text: str) -> Iterator[tuple[int, str]]:
    """Yield (first line, text) of each header or key statement of a valid TOML text."""
    lines, start = text.replace("\r\n", "\n").split("\n"), 0
    depth, quote = 0, ""
    for end, line in enumerate(lines, 1):
        depth, quote = _open_after(line, depth, quote)
        if depth > 0 or quote:
            continue
        chunk = "\n".join(lines[start:end])
        try:
            parsed = tomllib.loads(chunk)
        except tomllib.TOMLDecodeError:
            return
        if parsed:
            yield start + 1, chunk
        start = end


def _open_after(line: str, depth: int, quote: str) -> tuple[int, str]:
    """How many brackets, and which quotes of several lines, are open after a line, given those before it."""
    at = 0
    while True:
        found = _CLOSING[quote].match(line, at) if quote else _TOKEN.search(line, at)
        if found is None:
            return depth, quote
        at, token = found.end(), found[0]
        if quote:
            quote = ""
        elif token in _CLOSING:
            quote = token
        else:
            depth += (token in "[{") - (token in "]}")


def _header(node: Any) -> list[str]:
    names: list[str] = []
    while isinstance(node, dict | list) and node:
        if isinstance(node, list):
            node = node[0]
        else:
            names.append(next(iter(node)))
            node = node[names[-1]]
    return names


def key_lines(text: str) -> dict[Path, int]:
    """The line of each table and key, by its path: ``key_lines("[rail.V5]\\n")[("rail", "V5")] == 1``."""
    found: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    table: Path = ()
    for line, chunk in statements(text):
        node = tomllib.loads(chunk)
        head = chunk.lstrip()
        if head.startswith("["):
            names = _header(node)
            if head.startswith("[["):
                listed = (*_placed(names[:-1], counts), names[-1])
                counts[listed] = counts.get(listed, 0) + 1
            table = _placed(names, counts)
            for depth in range(1, len(table) + 1):
                found.setdefault(table[:depth], line)
        else:
            _walk(node, table, line, found)
    return found


def _placed(names: list[str], counts: Mapping[Path, int]) -> Path:
    """The path of a header: under a list of tables it means the latest of them."""
    path: Path = ()
    for name in names:
        path += (name,)
        if path in counts:
            path += (counts[path] - 1,)
    return path


def _walk(node: Any, path: Path, line: int, found: dict[Path, int]) -> None:
    if isinstance(node, dict):
        for name, value in node.items():
            found.setdefault((*path, name), line)
            _walk(value, (*path, name), line, found)


def stated_path(loc: Path, data: Any) -> Path:
    """The path as the user wrote it: the tag of a union, which is in no file, dropped."""
    path: Path = ()
    for i, step in enumerate(loc):
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            if i == len(loc) - 1:
                path += (step,)
            continue
        path += (step,)
    return path


def line_of(path: Path, lines: dict[Path, int]) -> int:
    """The line of the nearest written key of a path."""
    while path and path not in lines:
        path = path[:-1]
    return lines.get(path, 1)
