"""Parts of the catalog: a list of them, and everything that is stated about one."""

from collections.abc import Sequence
from datetime import date

from partcheck.parameters import KINDS, Table
from partcheck.parts import Part
from partcheck.parts.checks import IDENTITY
from partcheck.report import document as d
from partcheck.report.answers.catalogued import about_catalog, part_name
from partcheck.report.lines import counted

_UNSAID = ("price", "quantity")
"""Values that no datasheet states: their source is told only where somebody wrote it down."""


# ---- the list


def listed(parts: Sequence[Part], kind: str, where: str, made_on: date | None = None) -> d.Document:
    """One line per part."""
    what = f"part of the kind {kind}" if kind else "part"
    many = what.replace("part", "parts", 1)
    told = f"{counted(len(parts), what, many)} in " if parts else f"There are no {many} in "
    columns = (
        d.Column("kind"),
        d.Column("part"),
        d.Column("maker"),
        d.Column("package"),
        d.Column("on hand", right=True),
        d.Column("status"),
    )
    rows = tuple(
        d.Row(
            (
                (part.kind,),
                (d.Name(part.part_number),),
                (d.Name(part.maker),),
                (d.Name(part.word("package") or "-"),),
                (on_hand(part.number("quantity")),),
                (d.Name(part.word("status") or "-"),),
            ),
            {"part": part.part_number},
        )
        for part in parts
    )
    return about_catalog(
        "list",
        ("Parts of the catalog",),
        where,
        d.Finding(None, (d.line(told, d.Name(where), "."),)),
        d.Table("Parts", columns, rows) if rows else None,
        made_on=made_on,
    )


def on_hand(quantity: float) -> d.Number:
    """How many are on hand; a dash where nobody said."""
    return d.Number(quantity, "", "-" if quantity != quantity else f"{quantity:.0f}")


# ---- one part


def shown(part: Part, where: str, made_on: date | None = None) -> d.Document:
    """Every stated value of a part, where each comes from, and what is not stated."""
    missing = _missing(part)
    left = counted(len(missing), "value is", "values are") if missing else "nothing is"
    head = d.line(part_name(part.part_number, part.maker), ", ", _in_short(part), f"; {left} not stated.")
    title = d.line(part_name(part.part_number, part.maker), f", {KINDS[part.kind].title}")
    return about_catalog("show", title, where, d.Finding(None, (head,)), *sheet(part), made_on=made_on)


def _in_short(part: Part) -> d.Line:
    made: list[d.Span | d.Line] = [KINDS[part.kind].title]
    if package := part.word("package"):
        made += [" in ", d.Name(package)]
    if status := part.word("status"):
        made += [", ", d.Name(status)]
    price = part.number("price")
    if price == price:
        made += [", ", d.Number(price, "", f"{price:g}"), " ", d.Name(part.word("currency") or "(no currency)")]
    quantity = part.number("quantity")
    if quantity == quantity:
        made += [", ", on_hand(quantity), " on hand"]
    return d.line(*made)


def sheet(part: Part) -> tuple[d.Block, ...]:
    """The values of a part as blocks: single values, point tables, and what is not stated."""
    missing = _missing(part)
    return d.present(
        _values(part),
        *(_points(part, table) for table in KINDS[part.kind].tables if len(part.table(table.name))),
        d.Paragraph(d.line("Not stated: ", d.joined([(d.Id(name),) for name in missing]), ".")) if missing else None,
    )


def _values(part: Part) -> d.Table:
    rows = []
    for column, declared in KINDS[part.kind].columns().items():
        value = part.values.get(column)
        if value is None or column in IDENTITY:
            continue
        unsaid = (declared.is_text or column in _UNSAID) and column not in part.provenance
        stated: d.Span = d.Name(value) if isinstance(value, str) else d.Number(value, declared.unit)
        source = "" if unsaid else part.source(column)
        rows.append(d.Row(((d.Id(column),), (stated,), (d.Name(source),)), {"value": column}))
    return d.Table(
        "Stated values", (d.Column("value"), d.Column("stated"), d.Column("where", detail=True)), tuple(rows)
    )


def _points(part: Part, table: Table) -> d.Section:
    names = list(table.columns())
    rows = tuple(
        d.Row(tuple(_cell(table, name, getattr(row, name)) for name in names)) for row in part.table(table.name).rows()
    )
    made = d.Table(f"Points of {table.name}", tuple(d.Column(name) for name in names), rows)
    source = part.source(table.name)
    return d.Section(
        d.line(d.Id(table.name), f", {table.meaning}"),
        d.present(made, d.Paragraph(d.line("from ", d.Name(source)), quiet=True) if source else None),
    )


def _cell(table: Table, name: str, value: float) -> d.Line:
    if value != value:
        return ("-",)
    axis = next((axis for axis in table.axes if axis.name == name), None)
    if axis is not None and axis.choices:
        return (axis.choices[int(value)],)
    return (d.Number(value, axis.unit if axis is not None else table.unit),)


def _missing(part: Part) -> list[str]:
    kind = KINDS[part.kind]
    missing = [name for name in kind.columns() if part.values.get(name) is None and name not in IDENTITY]
    return missing + [f"{table.name} (table)" for table in kind.tables if not len(part.table(table.name))]


__all__ = ["listed", "on_hand", "sheet", "shown"]
