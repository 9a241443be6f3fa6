"""Examples of the board format: each table cut from one board file that states every key and is read by the tests."""

from functools import cache
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from pydantic_core import PydanticUndefined

from partcheck.board import loads, models, roles, surroundings
from partcheck.board.fields import measure_of
from partcheck.board.spans import layout, line_end
from partcheck.units import show

EXAMPLE = Path(__file__).parent.parent / "formats" / "board.example.toml"
NAMED = {"Rail": "rail", "Chip": "chip", "Drive": "drive", "Track": "track"}
PLAIN = {
    "Surroundings": "surroundings",
    "Limits": "limits",
    "ReplacementResistor": "replacement_resistor",
    "Ground": "ground",
}
INSIDE = {"Cable": "cable", "Chopped": "chopped", "Pole": "poles"}


@cache
def _text() -> str:
    return EXAMPLE.read_text(encoding="utf-8")


@cache
def _board() -> models.Board:
    import tomllib

    return models.Board.model_validate(tomllib.loads(_text()))


def example(name: str) -> str:
    """A whole table of the format as a board file states it; empty for what has none of its own."""
    if name == "Board":
        return _sections(lambda path: path == ())
    if name in PLAIN:
        return _sections(lambda path: path[:1] == (PLAIN[name],))
    if name == "AtOnce":
        return _sections(lambda path: path[:2] == ("at_once", 0))
    if name in INSIDE:
        return _statement(INSIDE[name])
    table = NAMED.get(name)
    entries: dict[str, Any] = (
        {table: getattr(_board(), table)} if table else {"load": _board().load, "role": _board().role}
    )
    for key, members in entries.items():
        for member, entry in members.items():
            if type(entry).__name__ == name:
                return _sections(lambda path, key=key, member=member: path[:2] == (key, member))
    return ""


def _sections(wanted: Any) -> str:
    """The sections of the example whose path is wanted, without the comments that stand after them."""
    text = _text()
    found = [section for section in layout(text).sections if wanted(section.path)]
    parts = [text[section.start : line_end(text, section.end)].strip("\n") for section in found]
    parts = ["\n".join(row for row in part.split("\n") if not row.startswith("#")) for part in parts]
    return "\n\n".join(part for part in parts if part)


def _statement(key: str) -> str:
    """The first statement of an inner table, in line or under its own header."""
    text = _text()
    found = layout(text)
    for path, written in found.values.items():
        if path[-1] == key and written.within is None:
            return text[written.start : written.end]
    return next((_sections(lambda path, at=s.path: path == at) for s in found.sections if s.path[-1:] == (key,)), "")


def default(name: str, key: str) -> str:
    """What counts where a key is left out, as a board file would state it; empty where nothing does."""
    model = _model(name)
    field = model.model_fields[key]
    value = field.default
    if value is PydanticUndefined or value is None or value in ("", [], {}):
        return ""
    measure = measure_of(field.annotation, field.metadata)
    if measure is not None:
        return f"`{show(value, measure.unit)}`" if measure.unit else f"`{value:g}`"
    return f"`{str(value).lower() if isinstance(value, bool) else value}`"


def _model(name: str) -> type[BaseModel]:
    for module in (models, loads, roles, surroundings):
        found = getattr(module, name, None)
        if found is not None:
            made: type[BaseModel] = found
            return made
    raise KeyError(name)


__all__ = ["EXAMPLE", "default", "example"]
