"""What a shell offers at Tab: references and loads of the board on the command line, part numbers, policies, kinds.

A board is read as bare TOML and sheets as bare CSV, so that an answer comes at once and from files that are not right
yet, too. Whatever cannot be read offers nothing: a completion never raises, and never waits for a database server.
"""

from collections.abc import Callable, Iterable, Iterator
from functools import wraps
from pathlib import Path
from typing import Any, TypeVar

import typer

MOST = 200
SMALL = 10_000_000  # bytes
"""Suggestions beyond which nobody looks."""
KIND_OF_ROLE = {
    "mosfet-switch": "mosfet",
    "npn-sink": "bjt",
    "indicator": "led",
    "clamp": "diode",
    "regulator": "regulator",
    "terminal": "terminal",
}
NUMBER = ("part_number", "part number", "mpn", "part")
"""How a sheet may head its column of part numbers, in lower case."""

Offered = list[tuple[str, str]]
Offer = TypeVar("Offer", bound=Callable[..., Offered])


def _never_raises(function: Offer) -> Offer:
    @wraps(function)
    def offer(*given: Any, **named: Any) -> Offered:
        try:
            return function(*given, **named)
        except Exception:  # at Tab nobody can read why
            return []

    return offer  # type: ignore[return-value]


def _matching(offered: Iterable[tuple[str, str]], incomplete: str) -> Offered:
    """Those that begin as typed, in any case, each once."""
    begun = incomplete.casefold()
    found: dict[str, str] = {}
    for word, help_ in offered:
        if word.casefold().startswith(begun):
            found.setdefault(word, help_)
        if len(found) == MOST:
            break
    return list(found.items())


def _is_small(path: Path) -> bool:
    """Whether a file is an ordinary one that is read in a moment; a shell must not be kept waiting."""
    return path.is_file() and path.stat().st_size < SMALL


def _board(ctx: typer.Context) -> dict[str, Any]:
    """The board file named before, as it stands, ranges and what is ``like`` another written out."""
    import tomllib

    path = Path(str(ctx.params["board"]))
    if not _is_small(path):
        return {}
    board = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    entries = [item for table in ("role", "load") for item in board.get(table, {}).items()]
    if any(".." in name or "like" in entry for name, entry in entries):
        from partcheck.board.short import write_out

        return write_out(board).data
    return board


# ---- the board and what stands in it


@_never_raises
def boards(incomplete: str) -> Offered:
    """Board files and folders."""
    return _files(incomplete, ".toml")


def _files(incomplete: str, suffix: str) -> Offered:
    begun = Path(incomplete)
    folder = begun if incomplete.endswith("/") else begun.parent
    start = incomplete[: incomplete.rfind("/") + 1]
    found = []
    for path in sorted(folder.iterdir()):
        if path.name.startswith("."):
            continue
        if path.is_dir():
            found.append((f"{start}{path.name}/", "folder"))
        elif path.suffix == suffix:
            found.append((f"{start}{path.name}", ""))
    return _matching(found, incomplete)


@_never_raises
def references(ctx: typer.Context, incomplete: str) -> Offered:
    """References of the places of the board, each with its role and fitted part."""
    roles = _board(ctx)["role"]
    return _matching(
        ((ref, f"{r.get('role', '')} {r.get('fitted', '')}".strip()) for ref, r in roles.items()), incomplete
    )


@_never_raises
def indicators(ctx: typer.Context, incomplete: str) -> Offered:
    """References of the indicator LEDs of the board."""
    roles = _board(ctx)["role"].items()
    return _matching(((ref, r.get("fitted", "")) for ref, r in roles if r.get("role") == "indicator"), incomplete)


@_never_raises
def loads(ctx: typer.Context, incomplete: str) -> Offered:
    """Loads of the board, each with what it is."""
    return _matching(((name, load.get("sort", "")) for name, load in _board(ctx)["load"].items()), incomplete)


# ---- parts


@_never_raises
def parts(ctx: typer.Context, incomplete: str) -> Offered:
    """Part numbers of the kind that the named place takes, from where the command would take its parts."""
    board, given = _board(ctx), ctx.params
    kind = KIND_OF_ROLE[board["role"][given["ref"]]["role"]]
    sources = [Path(str(path)) for path in given.get("parts") or ()]
    catalog = given.get("catalog")
    if not sources and catalog is None:
        sources = [Path(str(given["board"])).parent / path for path in board.get("parts", ())]
    found = [(part["part_number"], part.get("maker", "")) for part in board.get("part", ()) if part.get("kind") == kind]
    for source in sources:
        found += _in_files(source, kind)
    if catalog is not None or not sources:
        found += _in_catalog(catalog, kind, incomplete)
    return _matching(found, incomplete)


@_never_raises
def catalog_parts(ctx: typer.Context, incomplete: str) -> Offered:
    """Part numbers of the catalog, of every kind."""
    return _matching(_in_catalog(ctx.params.get("catalog"), "", incomplete), incomplete)


@_never_raises
def parts_or_kinds(ctx: typer.Context, incomplete: str) -> Offered:
    """Kinds of parts, and part numbers of the catalog."""
    return [*kinds(incomplete), *catalog_parts(ctx, incomplete)]


def _in_files(source: Path, kind: str) -> Iterator[tuple[str, str]]:
    """Parts of a kind in sheets (CSV) and documents (JSON); workbooks would take too long to open."""
    import json

    from partcheck.parts.names import sheet_name

    for path in filter(_is_small, sorted(source.iterdir()) if source.is_dir() else [source]):
        suffix, name = path.suffix.casefold(), sheet_name(path.name)
        if suffix == ".json":
            held = json.loads(path.read_text(encoding="utf-8")).get("parts", ())
            yield from ((part["part_number"], part.get("maker", "")) for part in held if part.get("kind") == kind)
        elif suffix == ".csv" and name.kind == kind and not name.table:
            yield from _in_sheet(path)


def _in_sheet(path: Path) -> Iterator[tuple[str, str]]:
    import csv

    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = csv.reader(file)
        head = [cell.strip().casefold() for cell in next(rows)]
        column = next((i for i, cell in enumerate(head) if cell in NUMBER), len(head))
        yield from ((row[column], "") for row in rows if len(row) > column and row[column])


def _in_catalog(where: str | None, kind: str, incomplete: str) -> Offered:
    from partcheck.catalog import open_catalog
    from partcheck.catalog.place import find_place

    path = find_place(where).path
    if path is None or not path.is_file():  # a server would keep the shell waiting
        return []
    with open_catalog(where) as opened:
        return opened.numbers(kind, incomplete, MOST)


# ---- fixed words


@_never_raises
def kinds(incomplete: str) -> Offered:
    """Kinds of parts."""
    from partcheck.parameters import KINDS

    return _matching(((name, kind.title) for name, kind in KINDS.items()), incomplete)


@_never_raises
def policies(incomplete: str) -> Offered:
    """Policies by name, and files of one's own."""
    from partcheck.policy import POLICIES

    named = _matching(((name, policy.title) for name, policy in POLICIES.items()), incomplete)
    return [*named, *_files(incomplete, ".toml")]


__all__ = [
    "KIND_OF_ROLE",
    "boards",
    "catalog_parts",
    "indicators",
    "kinds",
    "loads",
    "parts",
    "parts_or_kinds",
    "policies",
    "references",
]
