"""A catalog's parts as a Parquet data set: written by an export, read as columns where jobs ask a catalog for parts.

::

    parts.parquet/mosfet/0000.parquet   one row per part in order of entry: single values, a list of points for each
    parts.parquet/mosfet/0001.parquet   table, a list of sources; the next parts in a file of their own
    parts.parquet/led/0000.parquet

Numbers are SI, temperatures in kelvin, words as words. A data set is read and never changed. PyArrow
(``partcheck[parquet]``) is loaded here alone.
"""

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from itertools import chain, count, islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from partcheck.errors import CatalogError
from partcheck.parameters import KINDS, Table
from partcheck.parts.checks import IDENTITY, SOURCE
from partcheck.parts.part import Part, Provenance, point_table
from partcheck.parts.writing import drafting
from partcheck.stock.columns import ColumnTable, Words
from partcheck.stock.laid import ascending
from partcheck.stock.stock import Columns, Stock, spelled

if TYPE_CHECKING:
    from partcheck.catalog.store import Catalog

SUFFIX = ".parquet"
FORMAT = b"1"
A_FILE, A_GROUP = 100_000, 2_000
"""Parts in a file, and in a stretch of it that is read as a whole."""
_FORMAT_KEY = b"partcheck"
_PROVENANCE = "provenance"


def _arrow() -> Any:
    try:
        import pyarrow
        import pyarrow.parquet
    except ImportError as slip:
        how = "python -m pip install 'partcheck[parquet]'"
        raise CatalogError(f"Parquet needs the Python package {slip.name}; install it with: {how}") from slip
    return pyarrow


# ---- writing


def write_parquet(catalog: "Catalog", target: Path) -> int:
    """Write every part of a catalog, some thousand at a time; how many there were. The target must not be there."""
    arrow = _arrow()
    total = 0
    with drafting(target) as beside:
        draft = beside / target.name
        draft.mkdir()
        for kind in KINDS:
            total += sum(_write_kind(arrow, kind, catalog.portions(kind, A_GROUP), draft / kind))
        draft.rename(target)
    return total


def _write_kind(arrow: Any, kind: str, portions: Iterator[list[Part]], folder: Path) -> Iterator[int]:
    """The files of a kind; yields how many parts were written."""
    schema, each = _schema(arrow, kind), A_FILE // A_GROUP
    for number in count():
        some = list(islice(portions, 1))
        if not some:
            return
        folder.mkdir(exist_ok=True)
        with arrow.parquet.ParquetWriter(folder / f"{number:04}{SUFFIX}", schema, compression="zstd") as writer:
            for parts in chain(some, islice(portions, each - 1)):
                writer.write_table(arrow.Table.from_pylist([_row(part) for part in parts], schema))
                yield len(parts)


def _schema(arrow: Any, kind: str) -> Any:
    number, text = arrow.float64(), arrow.string()
    fields = [(name, text if p.is_text else number) for name, p in KINDS[kind].columns().items()]
    for table in KINDS[kind].tables:
        words = {axis.name for axis in table.axes if axis.choices}
        row = arrow.struct([(name, text if name in words else number) for name in table.columns()])
        fields.append((table.name, arrow.list_(row)))
    source = arrow.struct([("parameter", text), *((n, arrow.int64() if n == "measured" else text) for n in SOURCE)])
    return arrow.schema([*fields, (_PROVENANCE, arrow.list_(source))], metadata={_FORMAT_KEY: FORMAT})


def _row(part: Part) -> dict[str, Any]:
    row: dict[str, Any] = {**part.values, "part_number": part.part_number, "maker": part.maker}
    for table in KINDS[part.kind].tables:
        row[table.name] = list(_points(table, part))
    row[_PROVENANCE] = [
        {"parameter": name} | {field: getattr(source, field) or None for field in SOURCE}
        for name, source in part.provenance.items()
    ]
    return row


def _points(table: Table, part: Part) -> Iterator[dict[str, Any]]:
    choices = {axis.name: axis.choices for axis in table.axes if axis.choices}
    for values in zip(*part.table(table.name).columns.values(), strict=True):
        stated = {name: value for name, value in zip(table.columns(), values, strict=True) if value == value}
        yield {name: choices[name][int(v)] if name in choices else v for name, v in stated.items()}


# ---- reading


class ParquetParts:
    """The parts of a data set, asked as a catalog is; it is read as it is found when it is first asked."""

    def __init__(self, folder: Path) -> None:
        self.where = str(folder)
        self._folder = folder
        self._stocks: dict[str, _Filed] = {}
        if not any(self._files(kind) for kind in KINDS):
            kinds = ", ".join(KINDS)
            raise CatalogError(f"{folder} has no parts; a data set has folders ({kinds}) with {SUFFIX} files")

    def close(self) -> None:
        """Let go of the files."""
        self._stocks.clear()

    def _files(self, kind: str) -> list[Path]:
        return sorted((self._folder / kind).glob(f"*{SUFFIX}"))

    def stock(self, kind: str) -> "Stock":
        """All parts of a kind as columns; a part is read when it is shown."""
        if kind not in self._stocks:
            self._stocks[kind] = _Filed(kind, self._files(kind))
        return self._stocks[kind]

    def parts(self, kind: str) -> list[Part]:
        """The parts of a kind in order of entry."""
        stock = self.stock(kind)
        return stock.parts(range(stock.count))

    def named(self, kind: str, part_number: str, maker: str = "") -> list[Part]:
        """The parts of that number; upper and lower case count only where they tell two parts apart."""
        stock = self.stock(kind)
        assert isinstance(stock, _Filed)
        for fold in (str, str.casefold):
            wanted = fold(part_number)
            places = [i for i, number in enumerate(stock.names[0]) if fold(number) == wanted]
            found = [p for p in stock.parts(places) if not maker or p.maker.casefold() == maker.casefold()]
            if found:
                return found
        return []

    def numbers_like(self, kinds: Iterable[str], like: str, most: int = 5000) -> list[str]:
        """Part numbers to suggest one from; of more than ``most`` of a kind those first that begin as ``like`` does."""
        found: list[str] = []
        for kind in kinds:
            stock = self.stock(kind)
            assert isinstance(stock, _Filed)
            begin = like[:2].casefold()
            found += sorted(stock.names[0], key=lambda number: number[:2].casefold() != begin)[:most]
        return found


class _Filed(Stock):
    """The parts of a kind in files of a data set."""

    def __init__(self, kind: str, files: Sequence[Path]) -> None:
        self._arrow = _arrow()
        self.kind, self.columns = kind, Columns(kind, self._column)
        self._files = [self._opened(path) for path in files]
        self._ends = np.cumsum([0, *(file.metadata.num_rows for file in self._files)])
        self.count = int(self._ends[-1])

    def _opened(self, path: Path) -> Any:
        try:
            file = self._arrow.parquet.ParquetFile(path)
        except (OSError, self._arrow.ArrowInvalid) as slip:
            raise CatalogError(f"{path} cannot be read as Parquet; export the catalog again") from slip
        wanted, found = _schema(self._arrow, self.kind), file.schema_arrow
        told = found.metadata or {}
        if told.get(_FORMAT_KEY) != FORMAT or not wanted.equals(found, check_metadata=False):
            raise CatalogError(f"{path} is not a data set of this version; export the catalog again")
        return file

    def _read(self, name: str) -> Any:
        """A column of all files in one piece."""
        pieces = [file.read(columns=[name]).column(name) for file in self._files]
        chunks = [chunk for piece in pieces for chunk in piece.chunks]
        declared = _schema(self._arrow, self.kind).field(name).type
        return self._arrow.chunked_array(chunks, declared).combine_chunks()

    def _column(self, name: str) -> Any:
        declared = KINDS[self.kind].columns().get(name)
        if declared is None:
            return self._table(KINDS[self.kind].table(name))
        column = self._read(name)
        if not declared.is_text:
            return _floats(column)
        coded = column.dictionary_encode()
        codes = coded.indices.fill_null(-1).to_numpy(zero_copy_only=False).astype(np.int32)
        return spelled(name, Words.coded(coded.dictionary.to_pylist(), codes))

    def _table(self, table: Table) -> ColumnTable:
        lists = self._read(table.name)
        rows = lists.flatten()
        starts = np.concatenate([[0], np.cumsum(lists.value_lengths().fill_null(0).to_numpy(zero_copy_only=False))])
        flat: dict[str, NDArray[Any]] = {}
        for name in table.columns():
            column = rows.field(name)
            words = next((axis.choices for axis in table.axes if axis.name == name), ())
            if words:
                column = self._arrow.compute.index_in(column, self._arrow.array(words))
            flat[name] = _floats(column)
        owner = np.repeat(np.arange(len(lists)), np.diff(starts))
        order = ascending(flat, owner, [axis.name for axis in table.axes])
        if order is not None:
            flat = {name: column[order] for name, column in flat.items()}
        return ColumnTable.flat(flat, starts.astype(np.int32))

    @cached_property
    def names(self) -> tuple[list[str], list[str]]:
        """Part number and maker of each part."""
        number, maker = (self._read(name).to_pylist() for name in IDENTITY)
        return number, maker

    def parts(self, places: Sequence[int]) -> list[Part]:
        """Some of the parts, in the order asked for; of a file only the stretches that hold them are read."""
        found: dict[int, Part] = {}
        wanted = sorted(set(places))
        for file, first in zip(self._files, self._ends.tolist(), strict=False):
            for group in range(file.metadata.num_row_groups):
                last = first + file.metadata.row_group(group).num_rows
                mine = [place for place in wanted if first <= place < last]
                if mine:
                    rows = file.read_row_group(group).take([place - first for place in mine]).to_pylist()
                    found |= dict(zip(mine, (self._part(row) for row in rows), strict=True))
                first = last
        return [found[place] for place in places]

    def _part(self, row: dict[str, Any]) -> Part:
        number, maker = (row.pop(name) for name in IDENTITY)
        tables = {t.name: rows for t in KINDS[self.kind].tables if (rows := row.pop(t.name))}
        sources = {said.pop("parameter"): said for said in row.pop(_PROVENANCE) or ()}
        return Part(
            self.kind,
            number,
            maker,
            {name: value for name, value in row.items() if value is not None},
            {name: point_table(self.kind, name, rows) for name, rows in tables.items()},
            {
                name: Provenance(**{field: text for field, text in said.items() if text is not None})
                for name, said in sources.items()
            },
        )

    def numbers(self, places: Sequence[int]) -> list[tuple[str, str]]:
        """Part number and maker of some of the parts, in the order asked for."""
        number, maker = self.names
        return [(number[i], maker[i]) for i in places]

    def places_of(self, parts: Sequence[Part]) -> list[int]:
        """Where the parts of these makers (in any case) and numbers are that there are."""
        wanted = {(part.part_number, part.maker.casefold()) for part in parts}
        listed = zip(*self.names, strict=True)
        return [i for i, (number, maker) in enumerate(listed) if (number, maker.casefold()) in wanted]


def _floats(column: Any) -> NDArray[np.float64]:
    made: NDArray[np.float64] = np.asarray(column.to_numpy(zero_copy_only=False), dtype=float)  # nulls become NaN
    return made
