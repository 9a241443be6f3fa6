"""Entering very many parts from CSV sheets: read, checked and written some thousand at a time.

The rows of tables and sources must stand in the order of their parts, as partcheck itself writes them; so a million
parts need no more memory than a few thousand. What stands plainly is read by columns, the rest as in any import; all
of it is one change, entered at the end or not at all.
"""

from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path

from partcheck.catalog import Catalog, WriteOutcome, open_catalog
from partcheck.catalog.filling import Filling
from partcheck.errors import PartsError
from partcheck.jobs.entry.importing import Agree, Imported, differences
from partcheck.parts import Part
from partcheck.parts.columnar import Key, MainColumns, PointColumns, PortionRows, SourceColumns
from partcheck.parts.files import LARGEST
from partcheck.parts.mapping import Reading
from partcheck.parts.names import sheet_name
from partcheck.parts.problems import BadCell
from partcheck.parts.sheets import collect_grids, csv_files
from partcheck.parts.streaming import Row, SheetStream, Unusual

FROM_BYTES = 4_000_000
"""Sheets of fewer are read whole: that costs little and puts no order on the rows of tables."""
PORTION = 4000
"""Parts read and written at a time."""
NAMED = 2000
"""So many of the parts that were added are kept to be named in the answer."""
MOST_BAD = 2000
"""Bad cells after which nothing more is looked at."""


class _Main:
    """A sheet of parts with the sheets of points and sources beside it."""

    def __init__(self, stream: SheetStream, beside: Sequence[SheetStream], reading: Reading) -> None:
        self.stream, self.reading, self.kind = stream, reading, stream.name.kind
        self.columns = MainColumns(stream, reading)
        self.beside: list[tuple[SheetStream, PointColumns | SourceColumns]] = [
            (s, PointColumns(s, self.kind, reading)) for s in beside
        ]
        """Sheets of points and sources, and how they are read."""

    def portions(self) -> Iterator[tuple[list[Row], list[list[Row]]]]:
        """Rows of parts, and those of each sheet beside that are about them."""
        while rows := self.stream.take(PORTION):
            keys = {self.stream.key(cells) for _, cells in rows}
            yield (
                rows,
                [
                    stream.take_while(lambda cells, stream=stream, keys=keys: stream.key(cells) in keys)  # type: ignore[misc]
                    for stream, _ in self.beside
                ],
            )

    def plainly(self, rows: list[Row], taken: list[list[Row]]) -> PortionRows:
        """The parts of some rows, by columns."""
        made = self.columns.read(rows)
        places = {key: i for i, key in enumerate(made.keys)}
        for (_, columns), some in zip(self.beside, taken, strict=True):
            if some:
                columns.read(some, made, places)
        return made


def fill(source: Path, where: str | None, who: str, when: str, agree: Agree, reading: Reading) -> Imported | None:
    """Enter the parts of large CSV sheets; None where the sheets are better read whole.

    Where cells are bad the answer has these and nothing was entered.
    """
    files = _files(source)
    if sum(path.stat().st_size for path in files) < FROM_BYTES:
        return None
    made = Imported(source, where or "", False, WriteOutcome(0, 0, 0), doubts=None)
    try:
        with _opened(files, reading) as mains, open_catalog(where, create=True) as catalog:
            made.catalog = catalog.where
            _enter(mains, catalog, made, (who, when), agree, reading)
    except Unusual as slip:
        large = [path for path in files if path.stat().st_size > LARGEST]
        if not large:
            return None
        raise PartsError(f"{source} {slip}, and is too large to be read whole; correct that, or split it") from slip
    except _NothingEntered:
        pass
    return made


class _NothingEntered(Exception):
    """Ends the transaction without a trace."""


def _files(source: Path) -> list[Path]:
    """The sheets of a source; none where it is not CSV alone."""
    if source.is_dir():
        others = any(path.suffix.casefold() == ".json" for path in source.iterdir())
        return [] if others else csv_files(source)
    if source.suffix.casefold() != ".csv" or not source.is_file() or sheet_name(source.name).table:
        return []
    stem = sheet_name(source.name).stem
    beside = [path for path in csv_files(source.parent) if sheet_name(path.name).table]
    return [source, *(path for path in beside if sheet_name(path.name).stem in (stem, ""))]


@contextmanager
def _opened(files: Sequence[Path], reading: Reading) -> Iterator[list[_Main]]:
    """The sheets of parts, each with those beside it, their headers read."""
    with ExitStack() as opened:
        streams = [_stream(path, reading, opened) for path in files if sheet_name(path.name).table != "provenance"]
        mains = [stream for stream in streams if not stream.name.table]
        points = [stream for stream in streams if stream.name.table]
        stems = {stream.name.stem for stream in mains}
        if any(stream.name.stem not in stems for stream in points):
            raise Unusual("has a sheet of points that belongs to no sheet of parts")
        made = [_Main(main, [s for s in points if s.name.stem == main.name.stem], reading) for main in mains]
        for path in files:
            if (name := sheet_name(path.name)).table == "provenance":
                _add_sources(path, [main for main in made if name.stem in ("", main.stream.name.stem)], reading, opened)
        yield made


def _stream(path: Path, reading: Reading, opened: ExitStack) -> SheetStream:
    stream = SheetStream(path, sheet_name(path.name), reading)
    opened.callback(stream.close)
    return stream


def _add_sources(path: Path, mains: Sequence[_Main], reading: Reading, opened: ExitStack) -> None:
    """A sheet of sources for these; one that names kinds is read by itself for each, whichever of them comes first."""
    stream = _stream(path, reading, opened)
    columns = SourceColumns(stream, reading)
    kinds = {main.kind for main in mains}
    for i, main in enumerate(mains):
        if i and len(kinds) == len(mains) and "kind" in stream.sheet.columns:
            stream = _stream(path, reading, opened)
            columns = SourceColumns(stream, reading)
        if len(kinds) == len(mains):
            stream.keep(main.kind, kinds)
        main.beside.append((stream, columns))


def _enter(
    mains: Sequence[_Main], catalog: Catalog, made: Imported, by: tuple[str, str], agree: Agree, reading: Reading
) -> None:
    with catalog.filling(*by, made.source.name) as into:
        for main in mains:
            for rows, taken in main.portions():
                reading.step(f"entering {main.stream.path.name}", main.stream.done, main.stream.size)
                _portion(main, rows, taken, into, made)
                if len(made.bad) > MOST_BAD:
                    raise _NothingEntered
        for stream in {id(s): s for main in mains for s, _ in main.beside}.values():
            if not made.bad and (left := stream.take(1)):
                number, cells = left[0]
                maker, part = stream.key(cells)
                raise Unusual(
                    f"has {part!r} of {maker!r} in {stream.path.name} row {number}, which is not in the order of the "
                    "parts or not among them"
                )
        made.outcome = into.outcome._replace(cleared=sum(each.new is None for each in made.differences))
        if made.bad:
            made.outcome = made.outcome._replace(added=0, changed=0, same=0, cleared=0)
            raise _NothingEntered
        if made.differences:
            agree(made.differences)


def _portion(main: _Main, rows: list[Row], taken: list[list[Row]], into: Filling, made: Imported) -> None:
    """Enter some parts: by columns where all are new and stand plainly."""
    try:
        plain = main.plainly(rows, taken)
    except Unusual:
        plain = None
    if plain is not None and not made.bad and not into.known(main.kind, plain.keys):
        into.enter_rows(plain)
        room = NAMED - len(made.added)
        named = zip(plain.columns["part_number"][:room], plain.columns["maker"], strict=False)
        made.added += [Part(main.kind, number, maker, {}) for number, maker in named]
        return
    grids = [(main.stream.name, main.stream.grid(rows))]
    beside = [(s.name, s.grid(some)) for (s, _), some in zip(main.beside, taken, strict=True) if some]
    found = collect_grids(grids, beside, {}, Reading(main.reading.mapping), whole=True)
    made.bad += found.bad
    known = into.known(main.kind, [(part.maker.casefold(), part.part_number) for part in found.parts])
    made.bad += [_twice(main, rows, key) for key, here in known.items() if here]
    if not made.bad:
        compared = into.enter_parts(found.parts)
        made.added += compared.new[: NAMED - len(made.added)]
        made.differences += differences(compared)


def _twice(main: _Main, rows: Sequence[Row], key: Key) -> BadCell:
    number = next(row for row, cells in rows if main.stream.key(cells) == key)
    reason = f"of {key[0]} is already further up"
    return BadCell(main.stream.path.name, number, "part_number", key[1], reason, "keep one of the two")
