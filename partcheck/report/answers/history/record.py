"""Records of what happened to parts of the catalog."""

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field

from partcheck.report.record import Record

if TYPE_CHECKING:
    from partcheck.catalog import HistoryEntry, LastChange, Use


class EntryRecord(Record):
    """One value that a command changed."""

    column: str = Field(description="a value, a table, `provenance.` and what it is the source of, or `part`")
    former: Any = Field(description="as in parts as JSON; null where it was not stated; for `part` all it stated")
    new: Any = Field(description="null where it is no longer stated")
    who: str
    when: str
    what: str = Field(description="import, add, edit, copy, retire or undo")
    note: str


class UseRecord(Record):
    """An accepted substitution that rests on the part's values as they were then."""

    number: int
    reference: str
    board: str
    revision: str
    verdict: str
    who: str
    when: str
    note: str


class PartHistoryRecord(Record):
    """The history of one part."""

    kind: str
    part_number: str
    maker: str
    entries: list[EntryRecord] = Field(description="newest first")
    accepted: list[UseRecord] = Field(description="accepted substitutions with this part, newest first")


class HistoryRecord(Record):
    """The history of each part of one number."""

    format: Literal[1] = 1
    job: Literal["history"] = "history"
    catalog: str
    parts: list[PartHistoryRecord]


class RevertedValueRecord(Record):
    """A value that taking a change back gives back."""

    column: str
    now: Any
    then: Any


class RevertedRecord(Record):
    """What taking a change back does to one part."""

    kind: str
    part_number: str
    maker: str
    taken_out: bool = Field(description="true where the change entered the part")
    values: list[RevertedValueRecord]


class UndoRecord(Record):
    """The last change of the catalog, and what taking it back does."""

    format: Literal[1] = 1
    job: Literal["undo"] = "undo"
    catalog: str
    done: bool = Field(description="false where it was only shown")
    what: str
    who: str
    when: str
    note: str
    parts: list[RevertedRecord]


def _value(text: str | None) -> Any:
    return None if text is None else json.loads(text)


def record(
    found: Mapping[tuple[str, str, str], Sequence["HistoryEntry"]],
    uses: Mapping[tuple[str, str, str], Sequence["Use"]],
    catalog: str,
) -> HistoryRecord:
    """The history of each part of one number."""
    parts = [
        PartHistoryRecord(
            kind=kind,
            part_number=number,
            maker=maker,
            entries=[
                EntryRecord(**{**entry._asdict(), "former": _value(entry.former), "new": _value(entry.new)})
                for entry in entries
            ],
            accepted=[UseRecord(**use._asdict()) for use in uses.get((kind, number, maker), ())],
        )
        for (kind, number, maker), entries in found.items()
    ]
    return HistoryRecord(catalog=catalog, parts=parts)


def undone(last: "LastChange", done: bool, catalog: str) -> UndoRecord:
    """What taking the last change back does, or did."""
    parts = [
        RevertedRecord(
            kind=one.kind,
            part_number=one.part_number,
            maker=one.maker,
            taken_out=not one.values,
            values=[RevertedValueRecord(column=c, now=_value(now), then=_value(then)) for c, now, then in one.values],
        )
        for one in last.reverted
    ]
    return UndoRecord(
        catalog=catalog, done=done, what=last.what, who=last.who, when=last.when, note=last.note, parts=parts
    )
