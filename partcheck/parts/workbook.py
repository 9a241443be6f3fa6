"""The sheets of an XLSX workbook as grids of texts, each cell as the spreadsheet shows it.

The fast reader gives values alone. What would be lost in silence is looked up in the package itself: cells with an
error, formulas that were never calculated, and number formats that show a unit or a percentage which the value lacks.
"""

import datetime
import stat
import zipfile
import zlib
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from partcheck.errors import PartsError
from partcheck.parts.files import LARGEST
from partcheck.parts.grid import POINTED, Fault, Grid, narrowed
from partcheck.parts.package import Package, Shown

UNPACKED = 1_000_000_000  # bytes of a workbook's parts together; a sheet of 100 000 parts is a quarter of it
CELLS = 20_000_000  # of a sheet, blank ones included: a reader lays them all out
MERGED = 200_000  # cells of a sheet
THIN = 100  # times that text of cells shrinks at most; a sheet of blanks shrinks a thousand times
_DAMAGED = (zipfile.BadZipFile, zlib.error, LookupError, NotImplementedError, ArithmeticError, RuntimeError, EOFError)
_OLD = b"\xd0\xcf\x11\xe0"
_PROTECTED = "EncryptedPackage".encode("utf-16-le")

Progress = Callable[[str, int, int], None]


def read_workbook(
    path: Path, comma_in: Callable[[str, bool], bool] | None = None, progress: Progress | None = None
) -> list[Grid]:
    """Every worksheet that has any cell, in order; :class:`PartsError` where the file is no readable workbook.

    In a sheet that has decimal commas numbers become texts with one, as the person who typed them sees them;
    ``comma_in`` is asked about each, by its name and whether it is the only one.
    """
    import python_calamine

    _check(path)
    try:
        with zipfile.ZipFile(path) as archive:
            package = Package(archive)
            if package.has_macros:
                raise PartsError(f"{path} holds macros; save it as .xlsx, without them")
            book = python_calamine.CalamineWorkbook.from_path(str(path))
            kinds = {item.name: item for item in book.sheets_metadata}
            names = [name for name in book.sheet_names if _is_worksheet(kinds[name])]
            grids = []
            for number, name in enumerate(names):
                if progress:
                    progress(f"reading {name}", number, len(names))
                if far := package.far_cell(name, CELLS):
                    away = f"{path} sheet {name} has a cell as far away as {far}"
                    raise PartsError(f"{away}; delete what is there, or split the sheet")
                hidden = not str(kinds[name].visible).endswith(".Visible")
                comma = comma_in is not None and comma_in(name, len(names) == 1)
                grids.append(_grid(path.name, name, book.get_sheet_by_name(name), package, comma, hidden))
    except (python_calamine.CalamineError, *_DAMAGED, ValueError, OSError) as slip:
        if isinstance(slip, OSError) and slip.errno is not None:
            raise PartsError(f"{path} cannot be read ({slip.strerror}); check its permissions and its disk") from slip
        raise PartsError(
            f"{path} is damaged or not an XLSX workbook; open it in a spreadsheet program and save it again as .xlsx"
        ) from slip
    return [grid for grid in grids if grid.rows]


def _is_worksheet(item: Any) -> bool:
    return str(item.typ).endswith("WorkSheet")


def _first_bytes(path: Path) -> bytes:
    """The first bytes of an ordinary file that is not too large, or a sentence that says why it is not read."""
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            what = "a folder" if path.is_dir() else "not an ordinary file"
            raise PartsError(f"{path} is {what}; name a sheet, workbook or JSON file")
        if found.st_size > LARGEST:
            size = f"{found.st_size / 1e6:.0f} MB"
            raise PartsError(f"{path} has {size}, more than the {LARGEST / 1e6:.0f} MB that are read; split it")
        with path.open("rb") as file:
            start = file.read(4)
            if start == _OLD:
                _refuse_old(path, file.read())
    except FileNotFoundError as slip:
        raise PartsError(f"{path} is not there; check its name and folder") from slip
    except ValueError as slip:  # a name with a zero byte
        raise PartsError(f"{str(path)!r} is not a file name; check what was typed") from slip
    except OSError as slip:
        raise PartsError(f"{path} cannot be read ({slip.strerror}); check its permissions and its disk") from slip
    return start


def _check(path: Path) -> None:
    """Refuse, before anything is unpacked, what is no workbook of ordinary size."""
    start = _first_bytes(path)
    if not start:
        raise PartsError(f"{path} is empty; write a header and a row for each part")
    if start != b"PK\x03\x04":
        raise PartsError(f"{path} is not an XLSX workbook; save it as .xlsx, or as CSV UTF-8 with the name .csv")
    try:
        with zipfile.ZipFile(path) as archive:
            items = archive.infolist()
    except (*_DAMAGED, ValueError, OSError) as slip:
        raise PartsError(f"{path} is damaged or cut short; copy or save it again as .xlsx") from slip
    if any(item.file_size > max(LARGEST, THIN * item.compress_size) for item in items):
        raise PartsError(f"{path} is almost all blank; delete the empty rows and columns and save it")
    if sum(item.file_size for item in items) > UNPACKED:
        raise PartsError(f"{path} unpacks to more than {UNPACKED / 1e9:.0f} GB; split it")


def _refuse_old(path: Path, rest: bytes) -> None:
    if _PROTECTED in rest:
        raise PartsError(f"{path} is locked with a password; save it without one")
    raise PartsError(f"{path} is a workbook of the old .xls format; save it as .xlsx")


def refuse_name(path: Path) -> None:
    """The sentence for a workbook of another format, by its name."""
    kind = path.suffix.casefold()
    if kind in (".xls", ".xlsm", ".xlsb", ".ods", ".xltx", ".xltm", ".numbers"):
        why = "holds macros or may" if kind in (".xlsm", ".xltm") else f"is a {kind} workbook, which is not read here"
        raise PartsError(f"{path} {why}; save it as .xlsx")


def _grid(file: str, name: str, sheet: Any, package: Package, decimal_comma: bool, hidden: bool) -> Grid:
    grid = Grid(file, name, [], hidden=hidden)
    cells = _Cells(grid, decimal_comma)
    shown: dict[int, dict[int, str | Shown]] = {}
    for (row_number, column), what in package.peculiar(name):
        shown.setdefault(row_number, {})[column] = what
    rows = iter(sheet.to_python(skip_empty_area=False)) if sheet.start is not None else iter(())
    for number, row in enumerate(rows, 1):
        texts = [cell if cell.__class__ is str else cells.text(cell, number, i) for i, cell in enumerate(row)]
        grid.pointed |= {(number, i) for i, cell in enumerate(row) if cell.__class__ is str and POINTED.match(cell)}
        if number in shown:
            _show(grid, number, texts, row, shown[number], decimal_comma)
        if any(text and not text.isspace() for text in texts):
            grid.rows.append((number, narrowed(texts, f"{grid.name} row {number}")))
    _merge(grid, sheet.merged_cell_ranges or ())
    return grid


def _merge(grid: Grid, ranges: Iterable[tuple[tuple[int, int], tuple[int, int]]]) -> None:
    """Note where cells are merged, as far as the sheet has rows and columns."""
    height = grid.rows[-1][0] if grid.rows else 0
    width = max((len(texts) for _, texts in grid.rows), default=0)
    count = 0
    for (top, left), (bottom, right) in ranges:
        below, across = range(top, min(bottom + 1, height)), range(left, min(right + 1, width))
        count += len(below) * len(across) + 1
        if count > MERGED:
            raise PartsError(f"{grid.name} has more than {MERGED} merged cells; unmerge them and save it")
        for row in below:
            for column in across:
                if (row, column) != (top, left):
                    grid.merged[row + 1, column] = (top + 1, left)


class _Cells:
    """Values of a workbook as texts."""

    def __init__(self, grid: Grid, decimal_comma: bool) -> None:
        self.grid, self.comma = grid, decimal_comma

    def text(self, cell: Any, row: int, column: int) -> str:
        """A value as the text that stands for it; a date is noted as one."""
        if cell.__class__ is float:
            text = plain_number(cell)
            return text.replace(".", ",") if self.comma else text
        if isinstance(cell, bool):
            return "TRUE" if cell else "FALSE"
        if isinstance(cell, int):
            return str(cell)
        if isinstance(cell, datetime.datetime | datetime.date | datetime.time | datetime.timedelta):
            self.grid.dates.add((row, column))
            if isinstance(cell, datetime.datetime) and cell.time() == datetime.time():
                cell = cell.date()
            return str(cell) if isinstance(cell, datetime.timedelta) else cell.isoformat()
        return str(cell)


def plain_number(value: float) -> str:
    """A number as it would be typed: ``plain_number(7805.0) == "7805"``."""
    return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)


def _show(
    grid: Grid, number: int, texts: list[str], row: list[Any], shown: dict[int, str | Shown], comma: bool
) -> None:
    """Put what the package says about cells of a row in place of their bare values."""
    for column, what in shown.items():
        while len(texts) <= column:
            texts.append("")
            row.append("")
        if isinstance(what, str):  # an error, or a formula without a value
            texts[column] = what
            corrected = "correct the formula or type the value"
            grid.faults[number, column] = (
                Fault("is an error of the spreadsheet", corrected)
                if what.startswith("#")
                else Fault("is a formula that was never calculated", "open the workbook, let it calculate, save it")
            )
        elif isinstance(row[column], float):
            if what.beside:
                grid.beside[number, column] = what.beside
            if not what.power and not what.unit:
                continue
            text = what.text(row[column])
            texts[column] = text.replace(".", ",") if comma else text
