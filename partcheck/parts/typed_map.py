"""A mapping typed at the command line: ``C=vds_max``, ``Type=part_number``, ``Sheet1!D={ column = "rds_on.max" }``.

``holds=mosfet``, ``header=3`` and ``decimal=comma`` say it of the whole sheet, ``polarity="N"`` what all its rows have,
``colour.rouge="red"`` what a word of it means, ``blanks=n/a`` which text states nothing in any sheet.
"""

import json
import re
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from partcheck.errors import PartsError
from partcheck.inputs import NotRead, read_toml
from partcheck.parts.mapping import Mapping, SheetMap, sheet_map

WHOLE = ("holds", "header", "decimal")
MOST_SHEETS = 3
"""So many sheets are named where one of them has to be said."""
_SAID = re.compile(r"(?:(?P<sheet>[^!=]+)!)?(?P<name>[^=]+)=(?P<meaning>.*)", re.DOTALL)
_UNIT = re.compile(r"(.*?)\s*\[\s*([^\[\]]+?)\s*\]")
_HOW = "write C=vds_max, 'Vds=vds_max [V]', holds=mosfet, 'polarity=\"N\"', or the name of a mapping file (.toml)"


def is_typed(text: str) -> bool:
    """Whether a text is typed as part of a mapping, and is not the name of a file of it."""
    return "=" in text and not Path(text).is_file()


def add_typed(mapping: Mapping, texts: Sequence[str], source: Path) -> None:
    """Add what was typed to a mapping; without a sheet's name it is of the only one of the mapping,
    or of ``source``."""
    said: dict[str, dict[str, Any]] = {}
    found = [_match(text) for text in texts]
    named = _held(mapping, found) if source.suffix.casefold() == ".xlsx" else list(mapping.sheets)
    held = named if len(named) == 1 or source.suffix.casefold() == ".xlsx" else []
    for text, match in zip(texts, found, strict=True):
        if match["sheet"] is None and len(held) > 1 and match["name"].strip() != "blanks":
            instead = " or ".join(repr(f"{sheet}!{text}") for sheet in held[:MOST_SHEETS])
            raise PartsError(f"--map {text!r} does not say of which sheet; write {instead}")
        sheet = (match["sheet"] or (held[0] if held else source.name.removesuffix(".csv"))).strip()
        name, meaning = match["name"].strip(), match["meaning"].strip()
        if name == "blanks":
            mapping.blanks |= {meaning.casefold()}
        elif len(meaning) > 1 and meaning[0] == meaning[-1] == '"':
            column, _, word = name.partition(".")
            mine = said.setdefault(sheet, {})
            if word:
                mine.setdefault("words", {}).setdefault(column.strip(), {})[word.strip()] = meaning[1:-1]
            else:
                mine.setdefault("constants", {})[name] = meaning[1:-1]
        elif name in WHOLE:
            said.setdefault(sheet, {})[name] = int(meaning) if meaning.isdecimal() else meaning
        else:
            said.setdefault(sheet, {}).setdefault("columns", {})[name] = _meaning(text, meaning)
    for sheet, data in said.items():
        made, known = sheet_map("--map", sheet, data), mapping.sheets.setdefault(sheet, SheetMap())
        known.columns |= made.columns
        known.constants |= made.constants
        for column, words in made.words.items():
            known.words[column] = known.words.get(column, {}) | words
        known.holds, known.header = made.holds or known.holds, made.header or known.header
        known.decimal = made.decimal or known.decimal


def _match(text: str) -> re.Match[str]:
    match = _SAID.fullmatch(text)
    if match is None:
        raise PartsError(f"--map {text!r} says nothing about a column; {_HOW}")
    return match


def _held(mapping: Mapping, found: Sequence[re.Match[str]]) -> list[str]:
    """The sheets that are spoken of by name, but for those that hold nothing."""
    holds = {name: said.holds for name, said in mapping.sheets.items()}
    for match in found:
        if match["sheet"] is not None:
            sheet = match["sheet"].strip()
            holds[sheet] = match["meaning"].strip() if match["name"].strip() == "holds" else holds.get(sheet, "")
    return [sheet for sheet, what in holds.items() if what != "nothing"]


def _meaning(text: str, meaning: str) -> str | dict[str, str]:
    """What a column means: a name, a name with its unit, or a table as a mapping file has it."""
    if meaning.startswith("{"):
        try:
            made = read_toml(f"meaning = {meaning}")["meaning"]
        except (tomllib.TOMLDecodeError, NotRead):
            example = json.dumps("rds_on.max")
            raise PartsError(f"--map {text!r} is not a table in TOML; write {{ column = {example} }}") from None
        return dict(made)
    unit = _UNIT.fullmatch(meaning)
    return {"column": unit[1], "unit": unit[2]} if unit is not None else meaning
