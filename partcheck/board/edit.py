"""Change values in a TOML text and keep every other byte of it: comments, order, blank lines, line ends."""

import json
import math
import re
from collections.abc import Mapping, Sequence
from copy import deepcopy
from datetime import date, time
from typing import Any

from partcheck.board.locate import Path
from partcheck.board.spans import Layout, TomlSection, Written, layout, line_end, line_start
from partcheck.inputs import toml_of

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_COMMA = re.compile(r"(?:[ \t\r\n]|#[^\n]*+)*+,")
_BLANK = re.compile(r"[ \t]*(?:#[^\n]*)?(?:\r?\n[ \t]*)?")
_MARK = "\ufeff"


def edited(text: str, changes: Sequence[tuple[Path, object]]) -> str:
    """The text with the value at each path set, in the given order; ``None`` takes the key away.

    A key that is not there is added to its table, after the last statement of that table; a table that is not
    there is added at the end of the text. The edited text reads as the old data with these values changed and
    nothing else: that is checked, and anything else is an internal fault.
    """
    mark = _MARK if text.startswith(_MARK) else ""
    text = text.removeprefix(_MARK)
    wanted = toml_of(text)
    for path, value in changes:
        change_data(wanted, path, value)
        text = _set(text, path, value)
    if not same(toml_of(text), wanted):
        where = ", ".join(dotted(path) for path, _ in changes)
        raise AssertionError(f"the edited text does not read as the old one with {where} changed")
    return mark + text


# ---- what the text must read as afterwards ----------------------------------------------------------------


def change_data(data: Any, path: Path, value: object) -> None:
    """Set the value at a path of a document's data, in place; ``None`` takes it away."""
    for step in path[:-1]:
        if isinstance(data, list) and step == len(data):
            data.append({})
        elif isinstance(data, dict) and step not in data:
            if value is None:
                return
            data[step] = {}
        data = data[step]
    last: Any = path[-1]
    if value is None:
        if isinstance(data, list):
            del data[last]
        else:
            data.pop(last, None)
    elif isinstance(data, list) and last == len(data):
        data.append(_plain(value))
    else:
        data[last] = _plain(value)


def _plain(value: object) -> Any:
    if isinstance(value, Mapping):
        return {name: _plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    return deepcopy(value)


def same(one: Any, other: Any) -> bool:
    """True where two documents state the same; ``1`` and ``1.0`` and ``true`` are three things."""
    if type(one) is not type(other):
        return False
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(same(one[name], other[name]) for name in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(same, one, other))
    return bool(one == other) or (isinstance(one, float) and math.isnan(one) and math.isnan(other))


_NOWHERE = object()


def _at(data: Any, path: Path) -> Any:
    for step in path:
        if isinstance(data, list) and isinstance(step, int):
            if step >= len(data):
                return _NOWHERE
        elif not isinstance(data, dict) or step not in data:
            return _NOWHERE
        data = data[step]
    return data


# ---- the text ---------------------------------------------------------------------------------------------


def _set(text: str, path: Path, value: object) -> str:
    old = _at(toml_of(text), path)
    if value is None:
        return text if old is _NOWHERE else _removed(text, path)
    if old is _NOWHERE:
        return _added(text, path, value)
    if same(old, _plain(value)):
        return text
    if isinstance(old, dict) and isinstance(value, Mapping):
        return _set_table(text, path, old, value)
    written = layout(text).values.get(path)
    plain = not written and not (isinstance(value, list | tuple) and all(isinstance(v, Mapping) for v in value))
    if isinstance(old, list) and isinstance(value, list | tuple) and not plain:
        return _set_list(text, path, len(old), value)
    if written is None and isinstance(path[-1], int):
        raise AssertionError(f"{dotted(path)} has a header of its own and cannot become a plain value")
    if written is None:  # it stands under a header, or as dotted keys, of its own
        return _added(_removed(text, path), path, value)
    return text[: written.value] + toml(value) + text[written.end :]


def _set_table(text: str, path: Path, old: Mapping[str, Any], value: Mapping[str, object]) -> str:
    for name in [name for name in old if name not in value]:
        text = _set(text, (*path, name), None)
    for name, inner in value.items():
        text = _set(text, (*path, name), inner)
    return text


def _set_list(text: str, path: Path, length: int, value: Sequence[object]) -> str:
    for i in range(length - 1, len(value) - 1, -1):
        text = _set(text, (*path, i), None)
    for i, inner in enumerate(value):
        text = _set(text, (*path, i), inner)
    return text


def _added(text: str, path: Path, value: object) -> str:
    """The text with a value where none was."""
    found = layout(text)
    base, inline = _container(text, found, path)
    rest = path[len(base) :]
    if inline:
        return _into(text, found, base, rest, value)
    parent = path if isinstance(path[-1], int) else path[:-1]
    data = _at(toml_of(text), path[:-1])
    stated = base == parent or _by_dots(found, parent)
    if isinstance(value, Mapping) and value and not stated and all(isinstance(step, str) for step in path):
        if any(not isinstance(inner, Mapping) or not inner for inner in value.values()):
            text = _with_header(text, found, path)  # the tables on the way need no header of their own
        for name, inner in value.items():
            text = _set(text, (*path, name), inner)
        return text
    if data is _NOWHERE or isinstance(data, list) or not stated:  # tables on the way have no header yet
        text = _with_header(text, found, parent)
        return text if value == {} and parent == path else _set(text, path, value)
    if isinstance(value, Mapping):
        text = _with_header(text, found, path)
        for name, inner in value.items():
            text = _set(text, (*path, name), inner)
        return text
    return _with_statement(text, _section(found, base), rest, value)


def _container(text: str, found: Layout, path: Path) -> tuple[Path, bool]:
    """The nearest table or array around a path that can take a further key, and whether it stands in line."""
    headed = {section.path for section in found.sections}
    for depth in range(len(path) - 1, -1, -1):
        base = path[:depth]
        if base in found.values:
            return base, True
        if base in headed:
            return base, False
    raise AssertionError(f"nothing can take {dotted(path)}")


def _by_dots(found: Layout, path: Path) -> bool:
    """True where a table is made by dotted keys, which no header may name again."""
    return any(at[: len(path)] == path and len(made.header) < len(path) for at, made in found.values.items())


def _section(found: Layout, path: Path) -> TomlSection:
    return next(section for section in found.sections if section.path == path)


def _line_break(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _with_statement(text: str, section: TomlSection, rest: Path, value: object) -> str:
    line = f"{section.indent}{dotted(rest)} = {toml(value)}"
    new = _line_break(text)
    if section.end == 0:
        return line + new + text
    end = line_end(text, section.end)
    return text[:end] + new + line + text[end:]


def _with_header(text: str, found: Layout, path: Path) -> str:
    """The text with a further header, at its end or, for an element of an array of tables, after that element."""
    new = _line_break(text)
    names = [step for step in path if isinstance(step, str)]
    listed = isinstance(path[-1], int)
    header = f"[[{dotted(tuple(names))}]]" if listed else f"[{dotted(tuple(names))}]"
    around = next((path[: i + 1] for i in range(len(path) - 1, -1, -1) if isinstance(path[i], int)), ())
    last = [section for section in found.sections if around and section.path[: len(around)] == around]
    if last:
        end = line_end(text, last[-1].end)
        return text[:end] + new * 2 + header + text[end:]
    if text and not text.endswith("\n"):
        text += new
    return text + (new if text else "") + header + new


def _into(text: str, found: Layout, base: Path, rest: Path, value: object) -> str:
    """The text with a further member of an inline table or array."""
    here = found.values[base]
    named = text[here.value] == "{"
    if not named and len(rest) > 1:
        for name in reversed(rest[1:]):
            value = {name: value}
    member = f"{dotted(rest)} = {toml(value)}" if named else toml(value)
    members = [written for written in found.values.values() if written.within == base]
    if not members:
        space = " " if named else ""
        return text[: here.value + 1] + space + member + space + text[here.end - 1 :]
    last = members[-1]
    comma = _COMMA.match(text, last.end)
    start = line_start(text, last.start)
    alone = not named and not text[start : last.start].strip() and start > here.value
    gap = _line_break(text) + text[start : last.start] if alone else " "
    if comma:
        at = line_end(text, comma.end()) if alone else comma.end()
        return text[:at] + gap + member + ("," if alone else "") + text[at:]
    if alone:
        at = line_end(text, last.end)
        return text[: last.end] + "," + text[last.end : at] + gap + member + text[at:]
    return text[: last.end] + "," + gap + member + text[last.end :]


def _removed(text: str, path: Path) -> str:
    """The text without a value that is there, and its tables without anything else."""
    found = layout(text)
    written = found.values.get(path)
    if written is not None and written.within is not None:
        text = _member_cut(text, found, written)
    else:
        spans = _lines_of(text, found, path)
        for start, end in sorted(spans, reverse=True):
            text = text[:start] + text[end:]
        while not spans and (at := _first_below(text, path)):  # dotted keys in an inline table
            text = _member_cut(text, layout(text), layout(text).values[at])
    parent = path[:-1]
    if _at(toml_of(text), parent) is _NOWHERE:  # it had only this: it stays, empty
        text = _added(text, parent, [] if isinstance(path[-1], int) else {})
    return text


def _first_below(text: str, path: Path) -> Path | None:
    return next((at for at in layout(text).values if at[: len(path)] == path), None)


def _lines_of(text: str, found: Layout, path: Path) -> list[tuple[int, int]]:
    """The whole lines that state a key: its statement, or its headers with what stands under them."""

    def lines(start: int, end: int) -> tuple[int, int]:
        at = text.find("\n", end)
        return line_start(text, start), len(text) if at < 0 else at + 1

    covered = [lines(s.start, s.end) for s in found.sections if s.path and s.path[: len(path)] == path]
    single = [
        lines(made.start, made.end)
        for at, made in found.values.items()
        if at[: len(path)] == path and made.within is None
    ]
    return covered + [span for span in single if not any(a <= span[0] < b for a, b in covered)]


def _member_cut(text: str, found: Layout, written: Written) -> str:
    members = [made for made in found.values.values() if made.within == written.within]
    place = members.index(written)
    if place + 1 < len(members):
        start = line_start(text, written.start)
        found_comma = _COMMA.match(text, written.end)
        comma = found_comma.end() if found_comma else written.end
        if text[start : written.start].strip() or members[place + 1].start <= line_end(text, written.end):
            return text[: written.start] + text[comma:].lstrip(" \t")
        rest = _BLANK.match(text, comma)
        return text[: written.start] + text[rest.end() if rest else comma :]
    comma_after = re.compile(r"[ \t]*,").match(text, written.end)
    end = comma_after.end() if comma_after else written.end
    start = members[place - 1].end if place else written.start
    return text[:start] + text[end:]


# ---- TOML of a value --------------------------------------------------------------------------------------


def dotted(path: Path) -> str:
    """A key as TOML writes it, its names in quotes where they have to be."""
    return ".".join(str(step) if _BARE.fullmatch(str(step)) else toml(str(step)) for step in path)


def toml(value: object) -> str:
    """A value as TOML, in one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, Mapping):
        inner = ", ".join(f"{dotted((name,))} = {toml(made)}" for name, made in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(toml, value))}]"
    raise AssertionError(f"a board file cannot state a {type(value).__name__}")
