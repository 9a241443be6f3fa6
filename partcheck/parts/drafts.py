"""The parts that sheets are about while they are read, and which of them a row of points or sources belongs to."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from partcheck.parts import checks
from partcheck.parts.part import Provenance
from partcheck.parts.problems import Problem, did_you_mean
from partcheck.parts.sheet import Sheet

Line = tuple[str, int]
"""A row of a sheet: the sheet's whole name and the row number."""


@dataclass
class SheetDraft:
    """The raw cells of one part, and where they stand.

    ``lines`` are all rows, headers included, that say something about it; ``alone`` tells that none of them is a row of
    a main sheet, so that it is a part of the catalog's or none. ``general`` tells that its sheet names no kind and only
    what parts of every kind have: it is a part of the catalog's, of whichever kind that has it, or none.
    """

    kind: str
    sheet: Sheet
    row: int
    record: dict[str, str]
    lines: set[Line]
    tables: dict[str, list[dict[str, str]]] = field(default_factory=dict)
    places: dict[str, list[tuple[Sheet, int]]] = field(default_factory=dict)
    provenance: dict[str, Provenance] = field(default_factory=dict)
    alone: bool = False
    general: bool = False


class Targets:
    """The drafts that rows of another sheet belong to."""

    def __init__(
        self, drafts: Sequence[SheetDraft], sheet: Sheet, stem: str, strict: bool, merge: bool = False
    ) -> None:
        self.drafts, self.sheet, self.strict, self.merge = drafts, sheet, strict, merge
        self.alone: list[SheetDraft] = []
        self.where = (stem if sheet.grid.sheet else f"{stem}.csv") if stem else "any sheet here"
        self._by_key: dict[tuple[str, str], list[SheetDraft]] = {}
        self._known: dict[tuple[tuple[str, str], ...], SheetDraft] = {}
        self._advice: dict[str, str] = {}
        self._makers: dict[str, str] = {}
        for draft in drafts:
            self._by_key.setdefault(identity(draft.record), []).append(draft)
            self._makers.setdefault(identity(draft.record)[1], draft.record.get("maker", ""))

    def find(self, row: int, keys: dict[str, str], kinds: Sequence[str]) -> SheetDraft | None:
        """The one draft that a row names; None after telling why there is none."""
        raw = tuple(keys.items())  # the rows of one part mostly follow each other, spelled alike
        draft = self._known.get(raw) or self._look(row, keys, kinds)
        if draft is not None:
            self._known[raw] = draft
            draft.lines.add((self.sheet.name, row))
            draft.lines.add((self.sheet.name, self.sheet.header))
        return draft

    def _look(self, row: int, keys: dict[str, str], kinds: Sequence[str]) -> SheetDraft | None:
        kind = keys.get("kind", "").strip().casefold()
        maker, number = identity(keys)
        found = [d for d in self._by_key.get((maker, number), ()) if d.kind in kinds and kind in ("", d.kind)]
        if len({draft.kind for draft in found}) == 1:
            return found[0]
        if not number or not maker:
            missing = "part_number" if not number else "maker"
            self.sheet.tell(row, Problem(missing, "", "is missing", "name the part in every row"))
        elif found:
            reason = "is missing, and more than one kind has this part"
            self.sheet.tell(row, Problem("kind", "", reason, "give the row a kind"))
        elif self.strict and self.merge:
            return self._begin(row, keys, [each for each in kinds if kind in ("", each)])
        elif self.strict:
            reason = f"of {keys.get('maker', 'no maker')} is not a part in {self.where}"
            self.sheet.tell(row, Problem("part_number", number, reason, self._advise(number)))
        return None

    def _begin(self, row: int, keys: dict[str, str], kinds: Sequence[str]) -> SheetDraft | None:
        """A draft for a part that no sheet has, but the catalog may."""
        if len(kinds) != 1:
            reason = "is missing, and more than one kind has this table" if kinds else "is none that has this table"
            self.sheet.tell(row, Problem("kind", keys.get("kind", ""), reason, "give the row the kind of its part"))
            return None
        record = {name: keys[name] for name in checks.IDENTITY}
        made = SheetDraft(kinds[0], self.sheet, row, record, set(), alone=True)
        self.alone.append(made)
        self._by_key.setdefault(identity(record), []).append(made)
        return made

    def _advise(self, number: str) -> str:
        """What to do about a number that is not there; looked up once, since its rows are often many."""
        if number not in self._advice:
            otherwise = "correct the number or the maker, or add the part"
            maker = self._makers.get(number)
            near = f"there its maker is {maker}" if maker else did_you_mean(number, self._makers, otherwise)
            self._advice[number] = near
        return self._advice[number]


def identity(record: dict[str, str]) -> tuple[str, str]:
    """Maker in lower case and part number, by which rows are matched."""
    number, maker = (" ".join(record.get(name, "").split()) for name in checks.IDENTITY)
    return maker.casefold(), number
