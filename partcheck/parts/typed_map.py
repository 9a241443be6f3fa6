"""A mapping typed at the command line: ``C=vds_max``, ``Type=part_number``, ``Sheet1!D={ column = "rds_on.max" }``.

``holds=mosfet``, ``header=3`` and ``decimal=comma`` say it of the whole sheet.
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
_SAID = re.compile(r"(?:(?P<sheet>[^!=]+)!)?(?P<name>[^=]+)=(?P<meaning>.*)", re.DOTALL)
_UNIT = re.compile(r"(.*?)\s*\[\s*([^\[\]]+?)\s*\]")
_HOW = "write C=vds_max, 'Vds=vds_max [V]', holds=mosfet, or the name of a mapping file (.toml)"


def is_typed(text: str) -> bool:
    """Whether a text is typed as part of a mapping, and is not the name of a file of it."""
    return "=" in text and not Path(text).is_file()


def add_typed(mapping: Mapping, texts: Sequence[str], source: Path) -> None:
    """Add what was typed to a mapping; without a sheet's name it is of the only one of the mapping,
    or of ``source``."""
    said: dict[str, dict[str, Any]] = {}
    only = next(iter(mapping.sheets)) if len(mapping.sheets) == 1 else source.name.removesuffix(".csv")
    for text in texts:
        match = _SAID.fullmatch(text)
        if match is None:
            raise PartsError(f"--map {text!r} says nothing of a column; {_HOW}")
        sheet = (match["sheet"] or only).strip()
        name, meaning = match["name"].strip(), match["meaning"].strip()
        if name in WHOLE:
            said.setdefault(sheet, {})[name] = int(meaning) if meaning.isdecimal() else meaning
        else:
            said.setdefault(sheet, {}).setdefault("columns", {})[name] = _meaning(text, meaning)
    for sheet, data in said.items():
        made, known = sheet_map("--map", sheet, data), mapping.sheets.setdefault(sheet, SheetMap())
        known.columns |= made.columns
        known.holds, known.header = made.holds or known.holds, made.header or known.header
        known.decimal = made.decimal or known.decimal


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
