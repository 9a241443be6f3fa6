"""What a user says about sheets of their own: which sheet holds what, and which header means which column.

A mapping is a TOML file. ``partcheck catalog import FILE --save-map MAP.toml`` writes the one that was used::

    format = 1
    decimal = "point"
    blanks = ["n/a", "-"]

    [sheet."Power FETs"]
    holds = "mosfet"
    header = 3
    decimal = "comma"

    [sheet."Power FETs".columns]
    "Type" = "part_number"
    "Vds" = { column = "vds_max", unit = "V" }
    "Rds @4V5" = { column = "rds_on.max", unit = "mΩ", vgs = "4.5 V" }
    "Shelf" = "nothing"

    [sheet."Power FETs".constants]
    polarity = "N"

    [sheet."Power FETs".words]
    status = { "aktiv" = "active", "?" = "" }
"""

import json
import tomllib
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from partcheck.errors import PartsError
from partcheck.inputs import NotRead, read_toml
from partcheck.parameters import KINDS
from partcheck.parts.files import read_text
from partcheck.parts.grid import column_letters
from partcheck.parts.problems import did_you_mean

FORMAT = 1
NOTHING = "nothing"
UNKNOWN = "?"
CONDITION = "condition"
"""What a column is mapped to whose cells are a condition of another; that one names it by its letter."""
Progress = Callable[[str, int, int], None]


@dataclass
class MappedColumn:
    """What stands under a header: a column, or a point of a table at fixed conditions (``at``)."""

    column: str
    unit: str = ""
    at: dict[str, str] = field(default_factory=dict)


@dataclass
class SheetMap:
    """What a sheet holds (``mosfet``, ``mosfet.rds_on``, ``provenance``, ``nothing``), its headers and decimal sign.

    ``constants`` are values of every row by column; ``words`` what texts in lower case mean, by column.
    """

    holds: str = ""
    header: int = 0
    decimal: str = ""
    columns: dict[str, MappedColumn] = field(default_factory=dict)
    constants: dict[str, str] = field(default_factory=dict)
    words: dict[str, dict[str, str]] = field(default_factory=dict)

    def key_of(self, headers: Sequence[str], place: int) -> str:
        """What a column is called here: ``column C``, its header with or without the unit in brackets, or ``C`` where
        no header is that; empty: nothing."""
        letters, header = column_letters(place), headers[place].strip()
        bare = header.partition("[")[0].strip()
        called = (
            f"column {letters}",
            header,
            "" if bare in headers else bare,
            "" if letters in headers else letters,
        )
        return next((key for key in called if key in self.columns), "")

    def meant(self, headers: Sequence[str], place: int) -> MappedColumn | None:
        """What a column means; None where nothing is said of it."""
        return self.columns.get(self.key_of(headers, place))

    def named(self, headers: Sequence[str]) -> list[str]:
        """The headers, each mapped one as the column that it means; what is left out is empty."""
        meant = [self.meant(headers, place) for place in range(len(headers))]
        return [
            text if said is None else said.column * (said.column != NOTHING)
            for text, said in zip(headers, meant, strict=True)
        ]

    def lettered_in(self, cells: Sequence[str], wanted: Collection[str]) -> int:
        """How many of the wanted columns are mapped by letters under which these cells state something."""
        places = {f"column {column_letters(i)}" for i, cell in enumerate(cells) if cell.strip()}
        places |= {name.removeprefix("column ") for name in places}
        return len({self.columns[key].column for key in places & self.columns.keys()} & set(wanted))

    def unused(self, headers: Sequence[str]) -> list[str]:
        """Names of columns that a sheet with these headers does not have."""
        used = {self.key_of(headers, place) for place in range(len(headers))}
        return [key for key in self.columns if key not in used]


@dataclass
class Mapping:
    """What is said about the sheets of a file, by their names (a CSV file's without ``.csv``)."""

    sheets: dict[str, SheetMap] = field(default_factory=dict)
    decimal_comma: bool = False
    blanks: frozenset[str] = frozenset()
    _met: set[str] = field(default_factory=set)

    def of(self, name: str, alone: bool = False) -> SheetMap:
        """What is said about a sheet; about the only one of a file, whatever the mapping calls it."""
        for known, said in self.sheets.items():
            if known.strip().casefold() == name.strip().casefold():
                self._met.add(known)
                return said
        if not alone or len(self.sheets) != 1:
            return SheetMap()
        ((known, said),) = self.sheets.items()
        self._met.add(known)
        return said

    @property
    def strangers(self) -> list[str]:
        """Sheets that it speaks of and nobody asked about."""
        return [name for name in self.sheets if name not in self._met]


@dataclass
class Reading:
    """How sheets are to be read, and what the reading found out: ``used`` is the mapping as it was applied,
    ``notes`` are sentences about what was passed over. With ``merge`` a table may be of parts that no sheet has."""

    mapping: Mapping = field(default_factory=Mapping)
    progress: Progress | None = None
    used: Mapping = field(default_factory=Mapping)
    alone: bool = False
    notes: list[str] = field(default_factory=list)
    merge: bool = False

    def __post_init__(self) -> None:
        self.used.decimal_comma, self.used.blanks = self.mapping.decimal_comma, self.mapping.blanks

    @property
    def decimal_comma(self) -> bool:
        """Whether texts have decimal commas."""
        return self.mapping.decimal_comma

    def comma_in(self, name: str, alone: bool = False) -> bool:
        """Whether texts of a sheet have decimal commas."""
        own = self.mapping.of(name, alone).decimal
        return own == "comma" if own else self.mapping.decimal_comma

    def note_unused(self, name: str, said: SheetMap, headers: Sequence[str]) -> None:
        """Tell of what is said about columns that a sheet does not have."""
        if unused := said.unused(headers):
            listed = ", ".join(repr(each) for each in unused)
            self.notes.append(f"{name} has no column {listed}, which the mapping mentions")

    def step(self, what: str, done: int, total: int) -> None:
        """Tell how far it is."""
        if self.progress:
            self.progress(what, done, total)


def holdings() -> list[str]:
    """Everything that a sheet can be said to hold."""
    tables = [f"{kind.name}.{table.name}" for kind in KINDS.values() for table in kind.tables]
    return [*KINDS, *tables, "provenance", NOTHING]


def read_mapping(path: Path) -> Mapping:
    """The mapping in a TOML file; :class:`PartsError` for each thing in it that means nothing."""
    try:
        data = read_toml(read_text(path, piped=True))
    except tomllib.TOMLDecodeError as slip:
        raise PartsError(f"{path} is not a mapping in TOML: {slip}; correct it there") from slip
    except NotRead as slip:
        raise PartsError(f"{path}: {slip}") from None
    if data.get("format") != FORMAT or data["format"] is True:
        raise PartsError(f"{path} must say which format it has; write format = {FORMAT}, the one known here")
    _only(path, "the mapping", data, ("format", "decimal", "blanks", "sheet"))
    decimal = data.get("decimal", "point")
    _check_decimal(str(path), decimal)
    blanks = data.get("blanks", [])
    if not isinstance(blanks, list) or not all(isinstance(text, str) for text in blanks):
        raise PartsError(f'{path} has blanks that are not a list of texts; write blanks = ["n/a", "-"]')
    sheets = data.get("sheet", {})
    if not isinstance(sheets, dict) or not all(isinstance(said, dict) for said in sheets.values()):
        raise PartsError(f'{path} has a key sheet that is not a table; write [sheet."name of the sheet"]')
    made = {name: sheet_map(path, name, said) for name, said in sheets.items()}
    return Mapping(made, decimal == "comma", frozenset(text.strip().casefold() for text in blanks))


def _only(path: Path | str, where: str, data: dict[str, Any], known: Iterable[str]) -> None:
    for key in data:
        if key not in known:
            advice = did_you_mean(key, known, f"it has {', '.join(known)}")
            raise PartsError(f"{path}, {where}: there is no key '{key}'; {advice}")


def _check_decimal(where: str, decimal: object) -> None:
    if decimal not in ("point", "comma"):
        raise PartsError(f'{where} says decimal = {decimal!r}; write "point" or "comma"')


def sheet_map(path: Path | str, name: str, said: dict[str, Any]) -> SheetMap:
    """What is said of one sheet; :class:`PartsError` for each thing in it that means nothing."""
    where = f"sheet '{name}'"
    _only(path, where, said, ("holds", "header", "decimal", "columns", "constants", "words"))
    if "decimal" in said:
        _check_decimal(f"{path}, {where}", said["decimal"])
    holds, header, columns = said.get("holds", ""), said.get("header", 0), said.get("columns", {})
    if holds == UNKNOWN:
        holds = ""
    if holds and holds not in holdings():
        advice = did_you_mean(str(holds), holdings(), "write a kind, a table such as mosfet.rds_on, or nothing")
        raise PartsError(f"{path}, {where} holds {holds!r}, which is not something that a sheet holds; {advice}")
    if isinstance(header, bool) or not isinstance(header, int) or header < 0:
        raise PartsError(f"{path}, {where} has the header {header!r}; write the number of its row")
    if not isinstance(columns, dict):
        raise PartsError(f'{path}, {where} has columns that are not a table; write [sheet."{name}".columns]')
    meant = {text.strip(): _column(path, where, text, to) for text, to in columns.items()}
    constants, words = said.get("constants", {}), said.get("words", {})
    if not _are_texts(constants):
        raise PartsError(f'{path}, {where} has constants that are not texts by column; write polarity = "N"')
    if not isinstance(words, dict) or not all(map(_are_texts, words.values())):
        advice = 'write status = { "aktiv" = "active" }'
        raise PartsError(f"{path}, {where} has words that are not texts by column and text; {advice}")
    folded = {
        name: {" ".join(text.split()).casefold(): to for text, to in some.items()} for name, some in words.items()
    }
    return SheetMap(holds, header, said.get("decimal", ""), meant, constants, folded)


def _are_texts(said: Any) -> bool:
    return isinstance(said, dict) and all(isinstance(text, str) for text in said.values())


def _column(path: Path | str, where: str, header: str, to: Any) -> MappedColumn:
    if isinstance(to, str):
        return MappedColumn(to)
    if not isinstance(to, dict) or not all(isinstance(value, str) for value in to.values()) or "column" not in to:
        advice = 'write a column, or { column = "vds_max", unit = "V" }'
        raise PartsError(f"{path}, {where}, header '{header}' is mapped to {to!r}, which is not a column; {advice}")
    at = {name: value for name, value in to.items() if name not in ("column", "unit")}
    if at and "." not in to["column"]:
        raise PartsError(
            f"{path}, {where}, header '{header}' has conditions ({', '.join(at)}), "
            f"but {to['column']} is not a value of a "
            'table; write column = "rds_on.max"'
        )
    return MappedColumn(to["column"], to.get("unit", ""), at)


def mapping_text(mapping: Mapping) -> str:
    """A mapping as the text of a TOML file."""
    decimal = "comma" if mapping.decimal_comma else "point"
    lines = [
        "# What each sheet holds, and what each header means; give it with --map.",
        f'# "{UNKNOWN}" is not known yet: write a column, {{ column = "...", unit = "..." }} or "{NOTHING}".',
        f"format = {FORMAT}",
        f'decimal = "{decimal}"',
        f"blanks = [{', '.join(_quoted(text) for text in sorted(mapping.blanks))}]",
    ]
    for name, said in mapping.sheets.items():
        lines += ["", f"[sheet.{_quoted(name)}]", f"holds = {_quoted(said.holds or UNKNOWN)}"]
        lines += [f"header = {said.header}"] if said.header else []
        lines += [f'decimal = "{said.decimal}"'] if said.decimal else []
        if said.columns:
            lines += ["", f"[sheet.{_quoted(name)}.columns]"]
            lines += [f"{_quoted(header)} = {_target(column)}" for header, column in said.columns.items()]
        if said.constants:
            lines += ["", f"[sheet.{_quoted(name)}.constants]"]
            lines += [f"{_quoted(column)} = {_quoted(text)}" for column, text in said.constants.items()]
        if said.words:
            lines += ["", f"[sheet.{_quoted(name)}.words]"]
            lines += [f"{_quoted(column)} = {_inline(meant)}" for column, meant in said.words.items()]
    return "\n".join(lines) + "\n"


def _target(column: MappedColumn) -> str:
    if not column.unit and not column.at:
        return _quoted(column.column)
    pairs = {"column": column.column} | ({"unit": column.unit} if column.unit else {}) | column.at
    return "{ " + ", ".join(f"{name} = {_quoted(value)}" for name, value in pairs.items()) + " }"


def _inline(meant: dict[str, str]) -> str:
    return "{ " + ", ".join(f"{_quoted(text)} = {_quoted(word)}" for text, word in meant.items()) + " }"


def _quoted(text: str) -> str:
    """A text as TOML has it: its escapes are JSON's, and it bars one more character."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
