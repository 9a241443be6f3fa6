"""A board's data as the text of a board file that says things once: as ranges, and by ``like``.

The text reads as the data again, which is checked; the comments given stand beside their keys.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from partcheck.board.edit import dotted, same, toml
from partcheck.board.locate import Path
from partcheck.board.names import runs
from partcheck.board.ranges import NotARange, filled
from partcheck.board.short import NAMED, write_out

_NUMBERED = re.compile(r"(.*?)(\d+)")
_DIGITS = re.compile(r"(\d+)")
SAVED = 2
"""Keys that ``like`` has to save before it is worth its own line."""
RUN = 2
"""Members from which a range is shorter than its members."""
ODD_KEYS = 2
"""Keys that a member of a range may state otherwise before it is better told alone."""


def compose(data: Mapping[str, Any], comments: Mapping[Path, str], head: Sequence[str] = ()) -> str:
    """The text: comment lines at the top, then the file's own keys, then each table in the order of the data."""
    lines = [f"# {row}" for row in head]
    lines += [_statement(key, value, comments.get((key,), "")) for key, value in data.items() if _is_key(key, value)]
    for table, value in data.items():
        if table in NAMED:
            lines += _entries(table, value, comments)
        elif not _is_key(table, value) and isinstance(value, list):
            for i, group in enumerate(value):
                shown = group | {"of": _short_names(group["of"])} if table == "at_once" else group
                lines += ["", f"[[{table}]]", *_keys(shown, (table, i), comments)]
        elif not _is_key(table, value):
            lines += ["", f"[{table}]", *_keys(value, (table,), comments)]
    text = "\n".join(lines) + "\n"
    if not same(write_out(tomllib.loads(text)).data, write_out(dict(data)).data):
        raise AssertionError("the composed text does not read as its data")
    return text


def _short_names(names: Sequence[str]) -> list[str]:
    """A list of names with those in a row as ranges."""
    made: list[str] = []
    for run in runs(names):
        made += [f"{run[0]}..{run[-1]}"] if len(run) > RUN else run
    return made


def _is_key(key: str, value: Any) -> bool:
    return not isinstance(value, Mapping) and not (isinstance(value, list) and value and isinstance(value[0], Mapping))


def _statement(key: str, value: Any, comment: str) -> str:
    if isinstance(value, list) and value and isinstance(value[0], Mapping):
        rows = "".join(f"    {toml(inner)},\n" for inner in value)
        return f"{dotted((key,))} = [{f'  # {comment}' if comment else ''}\n{rows}]"
    return f"{dotted((key,))} = {toml(value)}" + (f"  # {comment}" if comment else "")


def _keys(entry: Mapping[str, Any], at: Path, comments: Mapping[Path, str]) -> Iterator[str]:
    for key, value in entry.items():
        yield _statement(key, value, comments.get((*at, key), ""))


def _entries(table: str, entries: Mapping[str, Any], comments: Mapping[Path, str]) -> Iterator[str]:
    """Each entry of a table, or each range of them with what its odd members state otherwise."""
    written: dict[str, Mapping[str, Any]] = {}
    names = list(entries)
    while names:
        run, pattern = _run(entries, names)
        first = run[0]
        names = names[len(run) :]
        name = first if len(run) < RUN else f"{first}..{run[-1]}"
        shown = pattern
        like = _like(written, pattern)
        if like is not None:
            shown = {"like": like} | {key: v for key, v in pattern.items() if not same(written[like].get(key), v)}
        yield from _table((table, name), (table, first), shown, comments)
        number = _number(first) or 0
        for i, member in enumerate(run):
            if (odd := _odd(pattern, number + i, entries[member])) and len(run) >= RUN:
                yield from _table((table, member), (table, member), odd, comments)
        written |= {member: entries[member] for member in run}


def _table(header: Path, at: Path, keys: Mapping[str, Any], comments: Mapping[Path, str]) -> Iterator[str]:
    title = comments.get(at, "")
    yield from ("", f"[{dotted(header)}]" + (f"  # {title}" if title else ""))
    yield from _keys(keys, at, comments)


def _run(entries: Mapping[str, Any], names: Sequence[str]) -> tuple[list[str], Mapping[str, Any]]:
    """The first names whose entries follow one pattern, and that pattern; at least the first name and its entry.

    A few among them may state a few keys otherwise.
    """
    first, alone = names[0], entries[names[0]]
    number = _number(first)
    if number is None or len(names) < RUN or _next(first) != names[1] or _braces(alone):
        return [first], alone
    try:
        pattern = _pattern(alone, entries[names[1]], number)
    except ValueError:
        return [first], alone
    run, fitting = [first], 1
    for name in names[1:]:
        if name != _next(run[-1]):
            break
        odd = _odd(pattern, number + len(run), entries[name])
        if odd is None or len(odd) > ODD_KEYS:
            break
        run.append(name)
        fitting = len(run) if not odd else fitting
    run = run[:fitting]
    return (run, pattern) if len(run) >= RUN else ([first], alone)


def _odd(pattern: Mapping[str, Any], number: int, entry: Mapping[str, Any]) -> dict[str, Any] | None:
    """What an entry states otherwise than the pattern; None where it lacks what the pattern states."""
    try:
        usual = filled(dict(pattern), "n", number)
    except NotARange:
        return None
    odd = {key: value for key, value in entry.items() if not same(usual.get(key), value)}
    lacks = any(key not in entry for key in usual)
    inner = any(isinstance(usual.get(key), dict) and not set(usual[key]) <= set(odd[key]) for key in odd)
    return None if lacks or inner or _braces(entry) else odd


def _number(name: str) -> int | None:
    found = _NUMBERED.fullmatch(name)
    return int(found[2]) if found is not None and (found[2] == "0" or not found[2].startswith("0")) else None


def _next(name: str) -> str:
    found = _NUMBERED.fullmatch(name)
    return f"{found[1]}{int(found[2]) + 1}" if found is not None else ""


def _braces(value: Any) -> bool:
    """True where a text holds a brace, which in a range would be filled in."""
    if isinstance(value, Mapping):
        return any(map(_braces, value.values()))
    if isinstance(value, list):
        return any(map(_braces, value))
    return isinstance(value, str) and ("{" in value or "}" in value)


def _pattern(one: Any, other: Any, number: int) -> Any:
    """What two neighbours have in common, with ``{n}`` where a number counts on; ``ValueError`` where nothing does."""
    if isinstance(one, dict) and isinstance(other, dict) and one.keys() == other.keys():
        return {key: _pattern(one[key], other[key], number) for key in one}
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        return [_pattern(a, b, number) for a, b in zip(one, other, strict=True)]
    if isinstance(one, str) and isinstance(other, str):
        return _text_pattern(one, other, number)
    if same(one, other):
        return one
    raise ValueError


def _text_pattern(one: str, other: str, number: int) -> str:
    parts, others = _DIGITS.split(one), _DIGITS.split(other)
    if len(parts) != len(others):
        raise ValueError
    made = ""
    for a, b in zip(parts, others, strict=True):
        if a == b:
            made += a
        elif a.isdigit() and b.isdigit() and int(b) - int(a) == 1 and not a.startswith("0"):
            away = int(a) - number
            made += "{n}" if not away else f"{{n{away:+d}}}"
        else:
            raise ValueError
    return made


def _like(written: Mapping[str, Mapping[str, Any]], entry: Mapping[str, Any]) -> str | None:
    """The written entry from which this one takes most; None where that saves next to nothing."""
    best, most = None, SAVED - 1
    for name, other in written.items():
        shared = sum(same(other[key], entry[key]) for key in other if key in entry)
        inner = any(isinstance(other[key], dict) and not same(other[key], entry.get(key)) for key in other)
        if set(other) <= set(entry) and shared > most and not inner:
            best, most = name, shared
    return best
