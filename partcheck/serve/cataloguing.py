"""The answers about the catalog that pages are made of, each as its command gives it."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from partcheck.jobs.entry.consequences import missing_by_value, unproven
from partcheck.parts import Part
from partcheck.parts.review import Doubt
from partcheck.parts.search import Found
from partcheck.report import document as d
from partcheck.report.lines import counted
from partcheck.serve.answers import Told
from partcheck.serve.pages import address

if TYPE_CHECKING:
    from partcheck.catalog import HistoryEntry, LastChange, Use


def found_told(found: Found, where: str) -> Told:
    """What a search found."""
    from partcheck.report.answers.find import sheet
    from partcheck.report.answers.find.document import document
    from partcheck.report.answers.find.record import record

    return Told(
        "parts-found",
        lambda pictures: document(found, where),
        lambda: record(found, where),
        lambda: sheet.text(found),
    )


def part_told(part: Part, where: str) -> Told:
    """All that is stated of a part."""
    from partcheck.parts.documents import to_document
    from partcheck.report.answers.parts.document import shown

    return Told(part.part_number, lambda pictures: shown(part, where), lambda: to_document([part]).rstrip("\n"))


def history_told(
    found: Mapping[tuple[str, str, str], Sequence["HistoryEntry"]],
    uses: Mapping[tuple[str, str, str], Sequence["Use"]],
    where: str,
) -> Told:
    """Every former value of a part."""
    from partcheck.report.answers.history.document import document
    from partcheck.report.answers.history.record import record

    return Told("history", lambda pictures: document(found, uses, where), lambda: record(found, uses, where))


def undone_told(last: "LastChange", done: bool, where: str) -> Told:
    """What taking the last change back does, or did."""
    from partcheck.report.answers.history import document, record

    return Told("undo", lambda pictures: document.undone(last, done, where), lambda: record.undone(last, done, where))


def review_told(doubts: Sequence[Doubt], count: int, where: str) -> Told:
    """What is doubtful."""
    from partcheck.report.answers.review.document import document
    from partcheck.report.answers.review.record import record

    return Told(
        "doubtful-values", lambda pictures: document(doubts, count, where), lambda: record(doubts, count, where)
    )


def part_leads(keys: Mapping[str, str]) -> str | None:
    """Where a row of parts leads."""
    if not keys.get("part") or not keys.get("kind"):
        return None
    return address("/catalog/part", kind=keys["kind"], maker=keys.get("maker"), part=keys["part"])


def left_open(part: Part) -> d.Section | None:
    """What each missing value leaves unproven where a board asks it, by role."""
    made: list[d.Block] = []
    for role, left in unproven(part).items():
        if not left:
            made.append(d.Paragraph((f"Nothing is missing that a {role} asks first.",)))
            continue
        rows = tuple(
            d.Row(((d.Id(name),), d.joined([(d.Id(id_),) for id_ in ids])), {"value": name})
            for name, ids in missing_by_value(left).items()
        )
        columns = (d.Column("not stated"), d.Column("left unproven where a board asks it"))
        made.append(d.Table(f"As a {role}", columns, rows))
    return d.section("What the missing values leave open", *made)


def doubtful(doubts: Sequence[Doubt]) -> d.Section | None:
    """What is doubtful about a part."""
    if not doubts:
        return d.section("Doubtful", d.Paragraph(("No value contradicts another or is far from those of its kind.",)))
    items = tuple(d.line(d.Name(doubt.reason), " [", d.Id(doubt.rule), "]") for doubt in doubts)
    head = f"{counted(len(doubts), 'value looks', 'values look')} doubtful; look each up in the datasheet."
    return d.section("Doubtful", d.Paragraph((head,)), d.Listing(items))
