"""What every job starts from: the board, the parts it may use, the policy, and what is fitted where."""

import difflib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from partcheck.board import ROLE_KINDS, BoardFile, read_board
from partcheck.errors import PartcheckError, UsageError
from partcheck.jobs.judge.few import few
from partcheck.parameters import KINDS
from partcheck.parts import Part, read_parts
from partcheck.parts.documents import from_record
from partcheck.policy import DEFAULT, Policy, find_policy
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle
from partcheck.stages import during

if TYPE_CHECKING:
    from partcheck.catalog import Catalog
    from partcheck.catalog.parquet import ParquetParts
    from partcheck.stock.known import Known


@dataclass
class Parts:
    """The parts a job may use: read from files, from a catalog, or both; files win over the catalog."""

    given: list[Part] = field(default_factory=list)
    catalog: "Catalog | ParquetParts | None" = None
    where: str = ""

    def of_kind(self, kind: str) -> list[Part]:
        """Every known part of a kind."""
        mine = [part for part in self.given if part.kind == kind]
        if self.catalog is None:
            return mine
        keys = {_identity(part) for part in mine}
        return mine + [part for part in self.catalog.parts(kind) if _identity(part) not in keys]

    def known(self, kind: str) -> "Known":
        """Every known part of a kind as columns: those of files, then those of the catalog that no file states."""
        from partcheck.stock.known import Known
        from partcheck.stock.stock import Listed

        mine = [part for part in self.given if part.kind == kind]
        listed = (Listed(kind, mine), None)
        if self.catalog is None:
            return Known(kind, [listed])
        stock = self.catalog.stock(kind)
        twice = stock.places_of(mine) if mine else []
        kept = None
        if twice:
            import numpy as np

            kept = np.delete(np.arange(stock.count), twice)
        return Known(kind, [listed, (stock, kept)])

    def find(self, kind: str, part_number: str, maker: str = "") -> Part | None:
        """The part of that number; ``UsageError`` where that may be several.

        Numbers that differ only in case are two parts, in files as in a catalog: the one written exactly so is meant,
        wherever it is known, and another only where there is none.
        """
        found = next(filter(None, self._named(kind, part_number, maker)), [])
        numbers = list(dict.fromkeys(part.part_number for part in found))
        if len(numbers) > 1:
            raise UsageError(
                f"there is no {part_number}, but {' and '.join(numbers)}, which differ only in upper and lower case; "
                "write the number of the one you mean exactly as it is"
            )
        if len(found) > 1:
            makers = ", ".join(part.maker for part in found)
            raise UsageError(f"{part_number} is made by {makers}; name the maker as MAKER:{part_number}")
        return found[0] if found else None

    def _named(self, kind: str, part_number: str, maker: str) -> Iterator[list[Part]]:
        """Parts of that number, those meant first: exactly so in files, in the catalog; in another case in either."""
        mine = [p for p in self.given if p.kind == kind and _same(p, part_number, maker)]
        yield [p for p in mine if p.part_number == part_number]
        kept = self.catalog.named(kind, part_number, maker) if self.catalog is not None else []
        yield [p for p in kept if p.part_number == part_number]
        yield from (mine, kept)

    def names(self, kind: str, like: str) -> list[str]:
        """Part numbers of a kind to suggest one from, in place of ``like``."""
        mine = [part.part_number for part in self.given if part.kind == kind]
        return mine + (self.catalog.numbers_like([kind], like) if self.catalog is not None else [])


def _same(part: Part, part_number: str, maker: str) -> bool:
    same_maker = not maker or part.maker.casefold() == maker.casefold()
    return same_maker and part.part_number.casefold() == part_number.casefold()


def _identity(part: Part) -> tuple[str, str, str]:
    """What makes a part one of its own, in files as in a catalog: kind, maker in any case, and number as written."""
    return part.kind, part.maker.casefold(), part.part_number


@dataclass(frozen=True)
class Asked:
    """What was asked for beside the board, to open the same again: files of parts, a catalog, a policy."""

    parts: tuple[Path, ...] = ()
    catalog: str | None = None
    policy: str | None = None


@dataclass
class Setup:
    """A board, its parts, a policy, and the situation as fitted."""

    board_file: BoardFile
    parts: Parts
    policy: Policy
    notes: list[str] = field(default_factory=list)
    asked: Asked = Asked()
    unknown: list[str] = field(default_factory=list)
    """Of each fitted part that is not known, what to do: among the notes, too."""
    lasting: bool = False
    """True where many parts will be exchanged, or more than one question is asked of it."""

    @cached_property
    def fitted(self) -> dict[str, Part | None]:
        """The part fitted at each reference; None where none is, or where its values are not known."""
        made: dict[str, Part | None] = {}
        unknown: dict[tuple[str, str], list[str]] = {}
        for ref, role in self.board_file.board.role.items():
            kind = ROLE_KINDS[role.role]
            if role.fitted is None:
                made[ref] = None
                self.notes.append(f"{ref} has no part fitted (no `fitted` key)")
                continue
            part = self.parts.find(kind, role.fitted.part_number, role.fitted.maker)
            made[ref] = part
            if part is None:
                unknown.setdefault((kind, role.fitted.part_number), []).append(ref)
        self.unknown += [self._unknown(refs, kind, number) for (kind, number), refs in unknown.items()]
        self.notes += self.unknown
        return made

    def _unknown(self, refs: list[str], kind: str, number: str) -> str:
        who = f"{few(refs)} {'is' if len(refs) == 1 else 'are'}"
        other = next((each for each in KINDS if each != kind and number in self.parts.names(each, number)), "")
        if other:
            roles = " or ".join(f'"{role}"' for role, word in ROLE_KINDS.items() if word == other)
            what = f"{KINDS[other].one} and no {KINDS[kind].word}"
            return f"{who} fitted with {number}, which is {what}; write role = {roles} there, or fit another part"
        close = difflib.get_close_matches(number, self.parts.names(kind, number), 1, 0.5)
        hint = f"did you mean {close[0]}?" if close else "enter its datasheet values to prove anything about it"
        return f"{who} fitted with {number}, which is not among the known {KINDS[kind].word} parts; {hint}"

    @cached_property
    def situation(self) -> Situation:
        """The board as fitted."""
        return settle(Situation(self.board_file.board, self.fitted, self.policy, noting=self.lasting))

    def reference(self, ref: str) -> str:
        """The reference as the board writes it; ``UsageError`` with a suggestion where there is none."""
        roles = self.board_file.board.role
        for known in roles:
            if known.casefold() == ref.casefold():
                return known
        close = difflib.get_close_matches(ref, roles, 1, 0.5)
        hint = f"did you mean {close[0]}?" if close else f"it has {', '.join(roles)}"
        raise UsageError(f"{self.board_file.path} has no role {ref!r}; {hint}")

    def load(self, name: str) -> str:
        """The load as the board writes it; ``UsageError`` with a suggestion where there is none."""
        board = self.board_file.board
        for known in board.load:
            if known.casefold() == name.casefold():
                return known
        switched = [made for ref, role in board.switches() if ref.casefold() == name.casefold() for made in role.load]
        loads = [made for made in switched if made in board.load]
        if loads:
            raise UsageError(f"{name} is a switch; name the load that it switches: {' or '.join(loads)}")
        close = difflib.get_close_matches(name, board.load, 1, 0.5)
        hint = f"did you mean {close[0]}?" if close else f"it has {', '.join(board.load) or 'none'}"
        raise UsageError(f"{self.board_file.path} has no load {name!r}; {hint}")

    def part(self, ref: str, name: str) -> Part:
        """A known part for that place, by ``PART`` or ``MAKER:PART``."""
        kind = ROLE_KINDS[self.board_file.board.role[ref].role]
        maker, _, number = name.rpartition(":")
        found = self.parts.find(kind, number, maker)
        if found is not None:
            return found
        for other in KINDS:
            if other != kind and self.parts.find(other, number, maker) is not None:
                raise UsageError(f"{number} is {KINDS[other].one}, and {ref} takes {KINDS[kind].one}")
        close = difflib.get_close_matches(number, self.parts.names(kind, number), 1, 0.5)
        hint = f"did you mean {close[0]}?" if close else "`partcheck catalog list` shows what is known"
        raise UsageError(f"there is no {KINDS[kind].word} {name!r} in {self.parts.where}; {hint}")


@during("reading board and parts")
def open_setup(
    board: str | Path,
    parts: Sequence[str | Path] = (),
    catalog: str | None = None,
    policy: str | None = None,
    given: Sequence[Part] = (),
) -> Setup:
    """Read the board and open what it is judged with.

    ``parts`` are files or folders; with none of these and no ``catalog`` the board's own ``parts`` serve, and
    without those the default catalog. Parts written in the board itself are always known.
    """
    return setup_of(read_board(board), parts, catalog, policy, given)


def setup_of(
    board_file: BoardFile,
    parts: Sequence[str | Path] = (),
    catalog: str | None = None,
    policy: str | None = None,
    given: Sequence[Part] = (),
) -> Setup:
    """The same for a board that was read already."""
    known = _inline(board_file) + list(given)
    sources = [Path(p) for p in parts]
    if not sources and catalog is None and not given:
        sources = [board_file.folder / p for p in board_file.board.parts]
    for source in sources:
        known += read_parts(source)
    opened = None
    if catalog is not None or (not sources and not given):
        opened = _catalog(catalog, required=catalog is not None or not known)
    where = " and ".join([str(s) for s in sources] + ([opened.where] if opened is not None else []))
    seen: dict[tuple[str, str, str], Part] = {}
    for part in reversed(known):
        seen[_identity(part)] = part
    chosen = policy or board_file.board.policy or DEFAULT
    if chosen.endswith(".toml") and policy is None:
        chosen = str(board_file.folder / chosen)
    return Setup(
        board_file,
        Parts(list(reversed(seen.values())), opened, where or "the board file"),
        find_policy(chosen),
        asked=Asked(tuple(Path(p) for p in parts), catalog, policy),
    )


def known_parts(parts: Sequence[str | Path]) -> Parts:
    """The parts of files or folders, and without any those of the default catalog, where there is one."""
    given = [part for source in parts for part in read_parts(source)]
    return Parts(given, None if parts else _catalog(None, required=False), "")


def _inline(board_file: BoardFile) -> list[Part]:
    return [from_record(record, f"{board_file.path}: part[{i}]") for i, record in enumerate(board_file.board.part, 1)]


def _catalog(where: str | None, required: bool) -> "Catalog | ParquetParts | None":
    from partcheck.catalog import open_catalog

    if where is not None and where.casefold().endswith(".parquet") and Path(where).is_dir():
        from partcheck.catalog.parquet import ParquetParts

        return ParquetParts(Path(where))

    try:
        return open_catalog(where)
    except PartcheckError:
        if required:
            raise
        return None
