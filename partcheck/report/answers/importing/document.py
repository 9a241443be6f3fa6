"""What an import did, or would do: what was taken, what changes, and what was not taken and why."""

from collections.abc import Sequence
from datetime import date
from itertools import groupby

from partcheck.jobs.entry.importing import Difference, Imported
from partcheck.parts.problems import causes
from partcheck.report import document as d
from partcheck.report.answers.catalogued import about_catalog
from partcheck.report.lines import counted

FEW = 20
"""New parts that a screen names one by one."""
MOST = 2000
"""Parts, changes and causes of rejected cells that a page lists; --json has all of them."""


def document(done: Imported, notes: Sequence[str] = (), made_on: date | None = None) -> d.Document:
    """The report of an import; ``notes`` say how its sheets were read."""
    return about_catalog(
        "import",
        d.line("Import of ", d.Name(str(done.source))),
        done.catalog,
        d.Finding(None, _head(done), _todo(done)),
        _rejected(done),
        *(_preview(done) if done.preview else _taken(done)),
        d.Fold("How the sheets were read", (d.Listing(tuple((d.Name(n),) for n in notes)),), "") if notes else None,
        catalog="Into",
        made_on=made_on,
    )


# ---- the finding


def _head(done: Imported) -> d.Lines:
    where = d.Name(done.catalog)
    added, changed, same, cleared = done.outcome
    if not added and not changed and same:
        parts = "the 1 part is" if same == 1 else f"all {same} parts are"
        return (d.line(f"Nothing changed: {parts} in ", where, " exactly as given."),)
    if not added and not changed:
        kept = d.line("; ", where, " is as it was") if done.catalog else ("; nothing was entered",)
        return (d.line(d.Name(str(done.source)), " holds no parts that could be entered", kept, "."),)
    would = "would be " if done.preview else ""
    first = f"{counted(added, 'part')} {would}added, {changed} changed, {same} unchanged, in "
    if not cleared:
        return (d.line(first, where, "."),)
    gone = "would be removed" if would else "was removed" if cleared == 1 else "were removed"
    values = f"; {counted(cleared, 'value that is', 'values that are')} no longer stated {gone}."
    return (d.line(first, where, values),)


def _todo(done: Imported) -> d.Lines:
    if done.rejects is None:
        return ()
    rows = counted(done.rejected_rows, "row")
    return (d.line(f"correct the {rows} of rejected parts in ", d.Name(str(done.rejects)), ", and import that file."),)


# ---- what was not taken


def _rejected(done: Imported) -> d.Section | None:
    if not done.bad:
        return None
    told = causes(done.bad)
    shown = d.Listing(tuple((d.Name(sentence),) for sentence in told[:MOST]))
    return d.section("Rejected", shown, _more(len(told) - MOST))


def _more(count: int) -> d.Paragraph | None:
    return d.Paragraph((f"And {count} more; --json has all of them.",)) if count > 0 else None


# ---- what was or would be taken


def _preview(done: Imported) -> tuple[d.Block | None, ...]:
    return new(done, FEW), differences(done.differences)


def _taken(done: Imported) -> tuple[d.Block | None, ...]:
    folds: list[d.Block] = []
    for title, made in (
        ("Parts that were added", new(done, MOST)),
        ("Values that were changed", differences(done.differences, MOST)),
    ):
        if made is not None:
            folds.append(d.Fold(title, made.blocks, ""))
    return tuple(folds)


def new(done: Imported, most: int) -> d.Section | None:
    """The parts that the catalog did not have."""
    rows = tuple(
        d.Row(((d.Name(part.part_number),), (d.Name(part.maker),), (part.kind,))) for part in done.added[:most]
    )
    table = d.Table("New parts", (d.Column("part"), d.Column("maker"), d.Column("kind")), rows) if rows else None
    return d.section("New", table, _more(done.outcome.added - most))


def differences(found: Sequence[Difference], most: int | None = None) -> d.Section | None:
    """Every value that changes, under the part it belongs to: former, arrow, new."""
    parts = []
    for _, group in groupby(found[:most], key=lambda difference: (*difference.part.key, difference.part.kind)):
        some = list(group)
        columns = (d.Column("value"), d.Column("former -> new"))
        table = d.Table("Values that change", columns, tuple(map(_difference, some)))
        parts.append(d.Section(d.line(d.Name(some[0].part.name), f", {some[0].part.kind}"), (table,)))
    left = len(found) - most if most is not None else 0
    return d.section("Changes", *parts, _more(left))


def _difference(difference: Difference) -> d.Row:
    column = d.line(d.Id(difference.column), f" {difference.where}" if difference.where else "")
    change = f"{difference.former_text or 'not stated'} -> {difference.new_text or 'not stated'}"
    return d.Row((column, (d.Name(change),)), {"value": difference.column})


__all__ = ["differences", "document", "new"]
