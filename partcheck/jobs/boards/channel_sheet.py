"""A list of channels as people keep it, CSV or XLSX, one row each; every bad cell is reported with its place."""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from partcheck.board import BoardFile
from partcheck.board.roles import Clamp, Indicator, Terminal
from partcheck.errors import BoardError
from partcheck.jobs.boards.channels import SORTS, SWITCHES, VALUES, BadChannel, Channel
from partcheck.jobs.boards.listing import written
from partcheck.parts.grid import SEARCHED, Grid, column_letters, read_csv
from partcheck.parts.headers import plain
from partcheck.parts.workbook import read_workbook
from partcheck.units import is_unit

WORDS = {
    "load": ("load", "name", "channel", "designation", "description", "consumer", "device", "what", "tag"),
    "sort": ("sort", "type", "kind", "load type", "kind of load", "sort of load"),
    "voltage": ("voltage", "supply", "supply voltage", "rail", "u", "v", "volts", "nominal voltage", "un", "vdc"),
    "current": ("current", "i", "amps", "nominal current", "load current", "in", "rated current"),
    "resistance": ("resistance", "r", "coil resistance", "winding resistance", "r coil", "ohms", "load resistance"),
    "inductance": ("inductance", "l", "coil inductance", "l coil"),
    "stall_current": ("stall current", "starting current", "stall", "locked rotor current", "i stall"),
    "capacitance": ("capacitance", "c", "input capacitance", "input capacitor", "capacitor"),
    "series_resistance": ("series resistance", "esr", "inrush resistance", "r series"),
    "rate": ("rate", "cycles", "switching rate", "frequency of switching", "how often"),
    "cable_length": ("cable length", "cable", "length", "wire length", "cable run"),
    "wire": ("wire", "cross-section", "cross section", "wire size", "gauge", "awg", "conductor"),
    "switch": ("switch", "driver", "switching part", "q", "switch part"),
    "switch_kind": ("switch kind", "switch type", "driver type", "kind of switch"),
    "drive": ("drive", "output", "pin", "port", "logic output", "mcu pin", "io", "gpio", "control"),
    "resistor": ("resistor", "series resistor", "gate resistor", "base resistor", "rg", "rb", "r gate", "r base"),
    "hold_off": (
        "hold-off resistor", "hold off", "pulldown", "pull-down", "pull-down resistor", "base-emitter resistor", "rbe",
        "rpd", "rgs", "r pulldown",
    ),
    "clamp": ("clamp", "diode", "flyback", "flyback diode", "freewheel diode", "freewheeling diode", "clamp diode"),
    "indicator": ("indicator", "led", "status led", "lamp led", "indicator led"),
    "indicator_resistor": ("indicator resistor", "led resistor", "r led", "rled", "resistor of led"),
    "terminal": ("terminal", "connector", "plug", "terminals", "poles", "connection", "screw terminal"),
}  # fmt: skip
"""Header words as people write them, beside the key itself."""
KINDS = {
    "mosfet": "mosfet-switch",
    "fet": "mosfet-switch",
    "npn": "npn-sink",
    "bjt": "npn-sink",
    "transistor": "npn-sink",
}
"""Headers that name the switch and its kind at once."""
LOAD_KEYS = ("current", "resistance", "inductance", "stall_current", "capacitance", "series_resistance", "rate")
_UNIT = re.compile(r"(.*?)\s*(?:\[\s*([^\]]+?)\s*\]|\(\s*([^)]+?)\s*\)|(?:/|\bin\b)\s*(\S+))\s*$")
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_COMMA = re.compile(r"(?<=\d),(?=\d)")


@dataclass(frozen=True)
class SheetColumn:
    """A column of the list: what it states, the unit of bare numbers, and the kind of switch that its name says."""

    index: int
    key: str
    title: str
    unit: str = ""
    kind: str = ""


@dataclass(frozen=True)
class ReadList:
    """The channels of a list and the headers that were not understood."""

    channels: list[Channel]
    unknown: list[str]


def read_channels(path: Path, is_npn: Callable[[str], bool] = lambda part: False) -> ReadList:
    """The channels of a CSV or XLSX file; ``BoardError`` names every bad cell with its row and column.

    Where a row does not say which kind of switch it has, ``is_npn`` does of its part number.
    """
    grid = _grid(path)
    start, columns, unknown = _header(grid, path)
    comma = path.suffix.casefold() != ".csv" or _semicolons(path)
    channels, slips = [], []
    for number, cells in grid.rows[start + 1 :]:
        channel = Channel()
        found = list(_row(channel, grid, number, cells, columns, comma))
        if channel["switch"] and not channel["switch_kind"] and is_npn(channel["switch"]):
            channel.values["switch_kind"] = "npn-sink"
        if not found:
            try:
                channel.complete()
                channels.append(channel)
            except BadChannel as slip:
                found = [f"row {number}: {slip}"]
        slips += found
    slips += list(_doubled(channels))
    if slips:
        one = len(slips) == 1
        said = f"{path}: {slips[0]}" if one else f"{path} has {len(slips)} cells or rows to correct"
        raise BoardError(said, () if one else slips)
    if not channels:
        raise BoardError(f"{path} has a header and no row; write a row for each channel")
    return ReadList(channels, unknown)


def _grid(path: Path) -> Grid:
    if not path.exists():
        raise BoardError(f"there is no file {path}; check the name")
    if path.suffix.casefold() == ".csv":
        return read_csv(path)
    if path.suffix.casefold() == ".xlsx":
        grids = [grid for grid in read_workbook(path) if grid.rows and not grid.hidden]
        if not grids:
            raise BoardError(f"{path} has no sheet with anything in it; write a header and a row for each channel")
        return max(grids, key=lambda grid: _understood(grid)[1])
    raise BoardError(f"{path} is not a list of channels; give a .csv or .xlsx file")


def _semicolons(path: Path) -> bool:
    """True where cells are parted by semicolons, so that a comma in a number is a decimal one."""
    with path.open(encoding="utf-8-sig", errors="replace") as file:
        head = [line for _, line in zip(range(SEARCHED), file, strict=False)]
    return sum(line.count(";") for line in head) > sum(line.count(",") for line in head) / 2


# ---- the header


def _header(grid: Grid, path: Path) -> tuple[int, list[SheetColumn], list[str]]:
    at, count = _understood(grid)
    if count < 2:
        raise BoardError(
            f"{grid.name} has no header of a list of channels; name its columns in one row: "
            "Load, Voltage, Current or Resistance, Switch, Resistor, Clamp ..."
        )
    cells = grid.rows[at][1]
    columns: list[SheetColumn] = []
    unknown = []
    stated = [found[0] for title in cells if (found := column_of(title)) is not None]
    has_sorts = "sort" in stated
    for i, title in enumerate(cells):
        if not title.strip():
            continue
        found = column_of(title)
        if found is None:
            unknown.append(title.strip())
            continue
        key, unit, kind = found
        if key == "load" and not has_sorts and _are_sorts(grid.rows[at + 1 :], i):
            key = "sort"
        if key == "load" and stated.count("load") > 1 and _are_numbers(grid.rows[at + 1 :], i):
            continue  # the channels counted, beside what hangs on each
        before = next((column for column in columns if column.key == key), None)
        if before is not None:
            where = f"{column_letters(before.index)} ({before.title}) and {column_letters(i)} ({title.strip()})"
            raise BoardError(f"{path}: columns {where} both state {key.replace('_', ' ')}; rename one of them")
        columns.append(SheetColumn(i, key, title.strip(), unit, kind))
    if not any(column.key == "load" for column in columns):
        raise BoardError(f"{path} has no column of loads; name one Load")
    return at, columns, unknown


def _are_sorts(rows: Sequence[tuple[int, list[str]]], place: int) -> bool:
    """True where a column under a load's name says of every channel what it is: ``Channel`` beside ``Load``."""
    said = [plain(cells[place]).rstrip("s") for _, cells in rows if place < len(cells) and cells[place].strip()]
    known = {plain(word) for own, words in SORTS.items() for word in (own, *words)}
    return len(set(said)) > 1 and known.issuperset(said)


def _are_numbers(rows: Sequence[tuple[int, list[str]]], place: int) -> bool:
    """True where a column has nothing but whole numbers."""
    said = [cells[place].strip() for _, cells in rows if place < len(cells) and cells[place].strip()]
    return bool(said) and all(text.isascii() and text.isdigit() for text in said)


def _understood(grid: Grid) -> tuple[int, int]:
    """The row near the top whose cells name most columns, and how many they name."""
    best = (0, 0)
    for i, (_, cells) in enumerate(grid.rows[:SEARCHED]):
        count = len({found[0] for cell in cells if (found := column_of(cell)) is not None})
        best = (i, count) if count > best[1] else best
    return best


def column_of(title: str) -> tuple[str, str, str] | None:
    """What a header states, its unit, and the kind of switch it names; None where it is not understood."""
    title = " ".join(title.split())
    unit = ""
    match = _UNIT.fullmatch(title)
    if match is not None and _meant(title) is None:
        unit = next(filter(None, match.groups()[1:]))
        if not is_unit(unit):
            return None
        title = match[1]
    found = _meant(title)
    return (found[0], unit, found[1]) if found is not None else None


def _meant(title: str) -> tuple[str, str] | None:
    word = plain(title)
    if word in KINDS:
        return "switch", KINDS[word]
    for key, words in WORDS.items():
        if word in (plain(key), *map(plain, words)):
            kind = {"rb": "npn-sink", "baseresistor": "npn-sink", "rbase": "npn-sink"}.get(word, "")
            return key, kind
    return None


# ---- the rows


def _row(
    channel: Channel, grid: Grid, number: int, cells: Sequence[str], columns: Sequence[SheetColumn], comma: bool
) -> Iterator[str]:
    """Put a row's cells into a channel; what is wrong with one, as a sentence with its row and column."""
    kind = ""
    for column in columns:
        text = cells[column.index].strip() if column.index < len(cells) else ""
        where = f"row {number}, column {column_letters(column.index)} ({column.title})"
        fault = grid.faults.get((number, column.index))
        if fault is not None:
            yield f"{where}: {fault.reason}; {fault.suggestion}"
            continue
        if (number, column.index) in grid.dates:
            yield f"{where}: {text!r} was taken for a date by the spreadsheet; write it as a text"
            continue
        try:
            channel.put(column.key, _with_unit(text, grid, number, column, comma))
        except BadChannel as slip:
            yield f"{where}: {text!r}: {slip}" if text not in str(slip) else f"{where}: {slip}"
            continue
        if column.kind and channel[column.key] and (column.key == "switch" or not kind):
            kind = column.kind
    if kind and not channel["switch_kind"]:
        channel.values["switch_kind"] = kind
    _kind_in_front(channel)


def _with_unit(text: str, grid: Grid, number: int, column: SheetColumn, comma: bool) -> str:
    if VALUES[column.key].takes is None:
        return text
    if comma:
        text = _COMMA.sub(".", text)
    beside = grid.beside.get((number, column.index), "")
    bare = _NUMBER.fullmatch(text) is not None
    return f"{text} {beside or column.unit}".strip() if bare and (beside or column.unit) else text


def _kind_in_front(channel: Channel) -> None:
    """``NPN BC817`` in the column of switches: the kind and the part."""
    first, _, rest = channel["switch"].partition(" ")
    for own, words in SWITCHES.items():
        if first.casefold() in words and rest:
            channel.values["switch"] = rest.strip()
            channel.values.setdefault("switch_kind", own)


def _doubled(channels: Sequence[Channel]) -> Iterator[str]:
    seen: set[str] = set()
    for channel in channels:
        if channel["load"] in seen:
            yield f"the load {channel['load']!r} is listed twice; give each a name of its own"
        seen.add(channel["load"])


# ---- the way back


def rows_of(board_file: BoardFile) -> list[dict[str, str]]:
    """A board's loads as rows of such a list: what :func:`read_channels` reads, as far as a row can state it."""
    board, stated = board_file.board, board_file.stated
    made = []
    for name, load in board.load.items():
        keys = stated["load"][name]
        row = {"load": name, "sort": load.sort, "voltage": written(stated["rail"][load.rail].get("voltage", ""))}
        row |= {key: written(keys[key]) for key in LOAD_KEYS if key in keys}
        if load.cable is not None:
            row |= {"cable_length": written(keys["cable"]["length"]), "wire": written(keys["cable"]["wire"])}
        switch = board.switch_of(name)
        if switch is not None:
            row |= _switch_row(board_file, switch)
        clamp = next((ref for ref, made_clamp in board.of_type(Clamp) if made_clamp.load == name), None)
        if clamp is not None:
            row["clamp"] = _part(board_file, clamp)
        row["terminal"] = _terminal(board_file, name)
        made.append({key: row.get(key, "") for key in VALUES})
    return made


def _switch_row(board_file: BoardFile, switch: str) -> dict[str, str]:
    role = board_file.board.role[switch]
    stated = board_file.stated["role"][switch]
    names = {"gate_resistor": "resistor", "base_resistor": "resistor"}
    names |= {"pulldown": "hold_off", "base_emitter_resistor": "hold_off"}
    kind = next(words[0] for own, words in SWITCHES.items() if own == role.role)
    row = {"switch": _part(board_file, switch), "switch_kind": kind, "drive": str(stated["drive"])}
    row |= {column: written(stated[key]) for key, column in names.items() if key in stated}
    lamp = next((ref for ref in role.load if isinstance(board_file.board.role.get(ref), Indicator)), None)  # type: ignore[union-attr]
    if lamp is not None:
        led = board_file.stated["role"][lamp]
        row |= {"indicator": _part(board_file, lamp), "indicator_resistor": written(led["resistor"])}
    return row


def _part(board_file: BoardFile, ref: str) -> str:
    fitted = board_file.board.role[ref].fitted
    return fitted.part_number if fitted is not None else ""


def _terminal(board_file: BoardFile, load: str) -> str:
    for ref, terminal in board_file.board.of_type(Terminal):
        sides = {pole.side: pole.pole[0] for pole in terminal.poles if pole.load == [load]}
        numbers = [str(sides[side]) for side in ("feed", "switched") if side in sides]
        if "switched" in sides and isinstance(terminal, Terminal):
            return f"{ref}-{','.join(numbers)}"
    return ""
