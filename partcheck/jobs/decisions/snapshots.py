"""What a result rested on, kept as plain JSON objects, and what differs between two such snapshots.

A board is kept twice: as read (``content``: SI numbers, so that comments, layout and ``1 kΩ`` for ``1000 Ω`` are no
change) and as written (``written``: to say what a value was in the user's own words).
"""

import json
import math
from collections.abc import Iterator, Mapping
from typing import Any

from partcheck.board import Board, BoardFile
from partcheck.errors import ValueSlip
from partcheck.parameters import KINDS
from partcheck.parts import Part
from partcheck.parts.documents import to_record
from partcheck.policy import ASSUMED, VALUES, Policy
from partcheck.units import ZERO_CELSIUS, parse, show

Path = tuple[str | int, ...]
Difference = tuple[Path, Any, Any]
"""A path, what was there and what is there; None where nothing is."""

NO_VALUE = ("price", "currency", "quantity", "status", "description", "notes", "datasheet", "provenance")
"""What a part states besides datasheet values: no requirement reads it, and stock and price change daily."""
_LONGEST = 60


def plain(value: Any) -> Any:
    """The value as JSON keeps it: dates as texts, what is no finite number as a text."""
    if isinstance(value, Mapping):
        return {str(key): plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return value if value is None or isinstance(value, str | int | float) else str(value)


def board_content(board: Board) -> dict[str, Any]:
    """A board as read."""
    made: dict[str, Any] = plain(board.model_dump(mode="json", exclude_none=True))
    return made


def board_written(board_file: BoardFile) -> dict[str, Any]:
    """A board as its file writes it, ranges and ``like`` written out."""
    made: dict[str, Any] = plain(board_file.stated)
    return made


def part_values(part: Part) -> dict[str, Any]:
    """Every value of a part, as a record that a parts file could hold."""
    made: dict[str, Any] = plain(to_record(part))
    return made


def policy_values(policy: Policy) -> dict[str, Any]:
    """Every value that a policy has in force, and everything that it lets be assumed."""
    made = {name: policy.value(name) for name in VALUES} | {
        f"assumed {name}": policy.assumption(name) for name in ASSUMED
    }
    return {name: float(value) for name, value in made.items() if math.isfinite(value)}


def differences(old: Any, new: Any, at: Path = ()) -> Iterator[Difference]:
    """Where two snapshots differ, each at the highest place that only one of them has."""
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        for key in {**old, **new}:
            yield from differences(old.get(key), new.get(key), (*at, key))
    elif isinstance(old, list) and isinstance(new, list) and any(isinstance(x, Mapping) for x in (*old, *new)):
        for i in range(max(len(old), len(new))):
            yield from differences(old[i] if i < len(old) else None, new[i] if i < len(new) else None, (*at, i))
    elif not _same(old, new):
        yield at, old, new


def _same(old: Any, new: Any) -> bool:
    if isinstance(old, list) and isinstance(new, list):
        return len(old) == len(new) and all(map(_same, old, new))
    numbers = [x for x in (old, new) if isinstance(x, int | float) and not isinstance(x, bool)]
    if len(numbers) == 2:
        return math.isclose(old, new, rel_tol=1e-9)
    return bool(old == new)


def board_differences(
    old: Mapping[str, Any], old_written: Mapping[str, Any], new: Mapping[str, Any], new_written: Mapping[str, Any]
) -> Iterator[str]:
    """What changed in a board, as sentences in the words of its file."""
    for path, was, is_ in differences(old, new):
        before, after = _worded(old_written, path, was), _worded(new_written, path, is_)
        if before == after:
            before, after = _short(was), _short(is_)
        yield _changed(named(path), before, after)


def named(path: Path) -> str:
    """A path as messages about board files write it: ``load.FV2.resistance``, ``at_once[0].most``."""
    text = ""
    for step in path:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else str(step)
    return text


def _changed(name: str, before: str, after: str) -> str:
    if not before:
        return f"{name} is new: {after}"
    return f"{name} was {before}, is {after}" if after else f"{name} was {before}, is gone"


def _worded(written: Any, path: Path, value: Any) -> str:
    """A value as the file writes it; as read where the file leaves it to a default."""
    if value is None:
        return ""
    found = written
    for step in path:
        if isinstance(found, Mapping):
            if step not in found:
                return f"{_short(value)} (not stated)"
            found = found[step]
        elif isinstance(found, list) and isinstance(step, int) and step < len(found):
            found = found[step]
        else:
            break
    return _short(found)


def _short(value: Any) -> str:
    if value is None:
        return ""
    text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
    text = text or "blank"
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"


def part_differences(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[str]:
    """What changed of a part's datasheet values, as sentences."""
    kind = str(old.get("kind"))
    before, after = ({k: v for k, v in record.items() if k not in NO_VALUE} for record in (old, new))
    for path, was, is_ in differences(before, after):
        yield _changed(_part_name(path), part_value(kind, path, was), part_value(kind, path, is_))


def stored(value: float, unit: str) -> float:
    """A number as JSON states it, as it is stored: kelvin for degrees Celsius."""
    return value + ZERO_CELSIUS if unit == "°C" else float(value)


def _part_name(path: Path) -> str:
    return " ".join(f"row {step + 1}" if isinstance(step, int) else step for step in path)


def part_value(kind: str, path: Path, value: Any) -> str:
    """A value of a part for a reader, with its unit; empty where there is none."""
    if isinstance(value, str | int | float) and kind in KINDS and len(path) in (1, 3):
        unit = _unit(kind, str(path[0]), str(path[-1]))
        if unit is not None:
            try:
                return show(parse(value, unit) if isinstance(value, str) else stored(value, unit), unit, 7)
            except ValueSlip:
                pass
    if isinstance(value, list):
        return f"a table of {len(value)} row{'s' if len(value) != 1 else ''}"
    return _short(value)


def _unit(kind: str, first: str, last: str) -> str | None:
    """The unit of a column, or of a column of a table; None for words and what is not declared any more."""
    columns = KINDS[kind].columns()
    if first == last and first in columns:
        return None if columns[first].is_text else columns[first].unit
    table = next((table for table in KINDS[kind].tables if table.name == first), None)
    if table is None or last not in table.columns():
        return None
    axis = next((axis for axis in table.axes if axis.name == last), None)
    return table.unit if axis is None else None if axis.is_text else axis.unit


def policy_differences(name: str, old: Mapping[str, float], new: Mapping[str, float]) -> Iterator[str]:
    """What changed of a policy's values, as sentences."""
    for path, was, is_ in differences(old, new):
        yield _changed(f"policy {name}: {path[0]}", _figure(was), _figure(is_))


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:.7g}"
