"""Records: whether each accepted substitution still stands, and if not, what changed since.

The story: read board, parts and policy again as they are now; compare with what was kept; any change makes the record
stale, however little it may matter, except that the board now carries out what was accepted. A stale one is judged
again where that can be done, to say whether the change matters.
"""

import json
import os
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from partcheck import __version__
from partcheck.board import BoardFile, read_board
from partcheck.errors import BoardError, CatalogError, PartcheckError, UsageError
from partcheck.jobs.decisions.snapshots import (
    board_content,
    board_differences,
    board_written,
    part_differences,
    part_values,
    policy_differences,
    policy_values,
)
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.jobs.screen.resistors import ResistorChange, beside
from partcheck.jobs.swap.swap import Candidate, judge_candidate
from partcheck.parts import Part
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle
from partcheck.stages import each

if TYPE_CHECKING:
    from partcheck.catalog import Accepted


@dataclass(frozen=True)
class KeptRecord:
    """An accepted substitution as it was written down."""

    row: "Accepted"
    basis: dict[str, Any]
    result: dict[str, Any]

    @property
    def verdict(self) -> Verdict:
        """The verdict at the time."""
        return Verdict[self.row.verdict.upper()]

    def findings(self, verdict: Verdict) -> list[dict[str, Any]]:
        """The requirements that had a verdict, and count."""
        return [r for r in self.result["requirements"] if r["verdict"] == verdict.word and r["counts"]]


@dataclass(frozen=True)
class Standing:
    """A record, and whether it still stands."""

    record: KeptRecord
    reasons: tuple[str, ...]
    carried_out: bool
    again: Candidate | None

    @property
    def stale(self) -> bool:
        """Whether anything that it rested on changed since."""
        return bool(self.reasons)

    @property
    def verdict(self) -> Verdict:
        """As judged again, where it was; else as accepted."""
        return self.again.verdict if self.again is not None else self.record.verdict


@dataclass(frozen=True)
class Records:
    """The records asked for, newest first."""

    where: str
    standings: tuple[Standing, ...]
    about: str = ""
    only_stale: bool = False

    @property
    def sound(self) -> bool:
        """Whether none is stale and none fails now."""
        return not any(s.stale or s.verdict is Verdict.FAILS for s in self.standings)


def read_record(row: "Accepted", where: str) -> KeptRecord:
    """A row with its JSON taken apart; ``CatalogError`` where it is not what was written."""
    try:
        record = KeptRecord(row, json.loads(row.basis), json.loads(row.result))
        whole = record.verdict in Verdict and {"board", "written", "part", "file", "neighbours"} <= set(record.basis)
        if not whole or "requirements" not in record.result:
            raise KeyError(row.number)
    except (ValueError, KeyError, TypeError):
        raise CatalogError(
            f"{where}: accepted substitution {row.number} is not as it was written; restore the catalog from a copy"
        ) from None
    return record


def records(
    where: str | None = None, board: str | None = None, number: int | None = None, only_stale: bool = False
) -> Records:
    """The accepted substitutions of a catalog, all or those of one board (its file or name), and how each stands."""
    from partcheck.catalog import open_catalog
    from partcheck.catalog.place import address_of

    with open_catalog(where) as catalog:
        found = [read_record(row, catalog.where) for row in catalog.accepted(number)]
        shown = catalog.where
    if number is not None and not found:
        raise UsageError(f"{shown} has no accepted substitution {number}; `partcheck records` lists them")
    if board is not None:
        found = _about(found, board)
    now = Now(address_of(where))
    standings = [now.standing(record) for record in each("judging accepted substitutions again", found)]
    kept = tuple(s for s in standings if s.stale or not only_stale)
    return Records(shown, kept, board or "", only_stale)


def _about(found: list[KeptRecord], board: str) -> list[KeptRecord]:
    file = os.path.abspath(board)
    kept = [
        record
        for record in found
        if record.basis["file"] == file
        or os.path.realpath(record.basis["file"]) == os.path.realpath(file)
        or record.row.board.casefold() == board.casefold()
    ]
    if not kept and not Path(board).is_file():
        known = ", ".join(sorted({record.row.board for record in found})) or "none"
        raise UsageError(f"no accepted substitution is about a board {board!r}; boards with some: {known}")
    return kept


class Now:
    """What boards, parts and policies state now; each is read once, however many records rest on it."""

    def __init__(self, catalog: str) -> None:
        self.catalog = catalog
        self._boards: dict[str, BoardFile | str] = {}
        self._setups: dict[tuple[Any, ...], Setup | str] = {}

    def standing(self, record: KeptRecord) -> Standing:
        """How a record stands."""
        board = self.board(record.basis["file"])
        if isinstance(board, str):
            return Standing(record, (board,), False, None)
        look = _Look(record, board, self.setup(record))
        try:
            reasons = tuple(look.reasons())
            again = look.again() if reasons or record.row.version != __version__ else None
        except PartcheckError as slip:
            return Standing(record, (*look.board_changes, f"it cannot be judged now: {slip}"), look.carried_out, None)
        if not reasons and again is not None and again.verdict is not record.verdict:
            reasons = (f"it was judged by partcheck {record.row.version}; {__version__} judges otherwise",)
        return Standing(record, reasons, look.carried_out, again)

    def board(self, file: str) -> BoardFile | str:
        """The board file as it is now, or why it cannot be read."""
        if file not in self._boards:
            try:
                self._boards[file] = read_board(file)
            except BoardError as slip:
                gone = not os.path.exists(file)
                self._boards[file] = f"the board file {file} is gone" if gone else f"it cannot be read now: {slip}"
        return self._boards[file]

    def setup(self, record: KeptRecord) -> Setup | str:
        """The same board, parts and policy as at the time, as they are now, or why they cannot be read."""
        basis = record.basis
        key = (basis["file"], tuple(basis["parts"]), basis["catalog"], basis["policy"])
        if key not in self._setups:
            try:
                catalog = self.catalog if basis["catalog"] else None
                self._setups[key] = open_setup(basis["file"], basis["parts"], catalog, basis["policy"])
            except PartcheckError as slip:
                self._setups[key] = str(slip)
        return self._setups[key]


@dataclass(frozen=True)
class _Look:
    """One record beside what is there now."""

    record: KeptRecord
    board: BoardFile
    setup: Setup | str

    @property
    def ref(self) -> str:
        return self.record.row.reference

    def reasons(self) -> Iterator[str]:
        """What changed since."""
        yield from self.board_changes
        if isinstance(self.setup, str):
            yield f"what it was judged with cannot be read now: {self.setup}"
            return
        row, basis, setup = self.record.row, self.record.basis, self.setup
        yield from _part_changes(row.part_number, basis["part"], self.part(basis["part"]), setup)
        told = {_identity(basis["part"])}
        for other, was in basis["neighbours"].items():
            role = setup.board_file.board.role.get(other)
            if role is None or role.fitted is None:
                continue  # told as a change of the board
            now = setup.fitted.get(other)
            if was is None and now is not None:
                yield f"{other} {now.part_number} was not among the known parts, is now"
            elif was is None or _identity(was) in told:
                continue
            elif role.fitted.part_number.casefold() == str(was["part_number"]).casefold():
                told.add(_identity(was))
                yield from _part_changes(f"{other} {was['part_number']}", was, now, setup)
        yield from policy_differences(setup.policy.name, basis["policy_values"], policy_values(setup.policy))

    @cached_property
    def board_changes(self) -> list[str]:
        """What changed in the board file, aside from carrying out what was accepted."""
        return list(board_differences(*self._compared))

    @cached_property
    def carried_out(self) -> bool:
        """Whether the board file now has the accepted part in its place."""
        role = self.board.board.role.get(self.ref)
        if role is None or role.fitted is None:
            return False
        fitted, part = role.fitted, self.record.row
        if fitted.maker.casefold() not in ("", part.maker.casefold()):
            return False
        if isinstance(self.setup, Setup) and (now := self.setup.fitted.get(self.ref)) is not None:
            return now.part_number == part.part_number  # the two may be parts of their own that differ only in case
        return fitted.part_number.casefold() == part.part_number.casefold()

    @property
    def _compared(self) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any], dict[str, Any]]:
        """The board that was kept, and the one there is now; as accepted where that was carried out."""
        basis = self.record.basis
        old, old_written = basis["board"], basis["written"]
        new, new_written = board_content(self.board.board), board_written(self.board)
        if self.carried_out:
            after = basis["role_after"]
            new = _with_role(new, self.ref, {"fitted": after["fitted"]})
            old, old_written = (
                _with_role(old, self.ref, after),
                _with_role(old_written, self.ref, basis["written_after"]),
            )
        return old, old_written, new, new_written

    def part(self, stated: dict[str, Any] | None) -> Part | None:
        """A part that was kept, as it is known now."""
        assert not isinstance(self.setup, str)
        if stated is None:
            return None
        found = self.setup.parts.find(stated["kind"], stated["part_number"], stated["maker"])
        return found if found is not None and found.part_number == stated["part_number"] else None

    def again(self) -> Candidate | None:
        """The substitution judged as things are now; None where that cannot be done."""
        if isinstance(self.setup, str):
            return None
        basis, row, board = self.record.basis, self.record.row, self.setup.board_file.board
        part = self.part(basis["part"])
        if part is None or row.reference not in board.role or board.role[row.reference].role != row.role:
            return None
        # the other places are compared with what they were before the substitution
        before = {**self.setup.fitted, row.reference: self.part(basis["fitted"])}
        situation = settle(Situation(board, before, self.setup.policy))
        change = self._resistor()
        return judge_candidate(self.setup, situation, row.reference, part, change, wanted=change is not None)

    def _resistor(self) -> ResistorChange | None:
        """The accepted resistor, where the board does not have it yet."""
        change = self.record.result["resistor"]
        found = beside(self.board.board, self.ref)
        if change is None or found is None or found[0] != change["key"]:
            return None
        made = ResistorChange(found[0], found[1], change["value"])
        return None if abs(made.value / found[1].typ - 1) < 1e-9 else made


def _with_role(board: dict[str, Any], ref: str, update: dict[str, Any]) -> dict[str, Any]:
    roles = board.get("role", {})
    return {**board, "role": {**roles, ref: {**roles.get(ref, {}), **update}}}


def _identity(part: dict[str, Any]) -> tuple[Any, ...]:
    return part["kind"], part["part_number"], part["maker"]


def _part_changes(name: str, was: dict[str, Any], now: Part | None, setup: Setup) -> Iterator[str]:
    if now is None:
        yield f"{name} is no longer among the parts of {setup.parts.where}"
        return
    for change in part_differences(was, part_values(now)):
        yield f"{name}: {change}"
