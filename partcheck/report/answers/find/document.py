"""Parts found by a search: how many, and the table of them."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from partcheck.parts.search import Found, FoundPart, Query
from partcheck.report import document as d
from partcheck.report.answers.catalogued import about_catalog
from partcheck.report.answers.parts.document import on_hand
from partcheck.report.lines import counted


def document(answer: Found, where: str, made_on: date | None = None) -> d.Document:
    """The parts that satisfy every condition, in the order asked for."""
    return about_catalog(
        "find",
        ("Parts found",),
        where,
        d.Finding(None, (_head(answer), *_left_open(answer), *_currencies(answer))),
        _table(answer) if answer.parts else None,
        identity=(("Asked for", (d.Name(_asked(answer.query)),)),),
        made_on=made_on,
    )


def _head(answer: Found) -> d.Line:
    if not answer.parts:
        return ("No part satisfies all of it." if not answer.total else "There are no further parts.",)
    told = f"{counted(answer.total, 'part satisfies', 'parts satisfy')} all of it"
    if not _is_narrowed(answer.query):
        told = counted(answer.total, "part")
    first = answer.query.skip + 1
    if len(answer.parts) == answer.total:
        return (f"{told}.",)
    return (f"{told}; here are {first} to {first + len(answer.parts) - 1}.",)


def _is_narrowed(query: Query) -> bool:
    return bool(query.where or query.text or query.package or query.status or query.on_hand is not None)


def _asked(query: Query) -> str:
    on_hand = f"at least {query.on_hand:g} on hand" if query.on_hand is not None else ""
    words = f"the words {query.text!r}" if query.text else ""
    package = f"package {query.package}" if query.package else ""
    status = f"status {' or '.join(query.status)}" if query.status else ""
    order = f"sorted by {', '.join(query.sort)}" if query.sort else ""
    kind = query.kind or "parts of every kind"
    return "; ".join(filter(None, (kind, *query.where, words, package, status, on_hand, order)))


def _left_open(answer: Found) -> tuple[d.Line, ...]:
    if not answer.unstated:
        return ()
    value = (
        "but do not state a value that is asked for."
        if answer.unstated > 1
        else "but does not state what is asked for."
    )
    return ((f"{answer.unstated} more may do, {value}",),)


def _currencies(answer: Found) -> tuple[d.Line, ...]:
    used = sorted({str(p.values["currency"] or "no currency") for p in answer.parts if p.values["price"] is not None})
    by_price = any(name.removeprefix("-") == "price" for name in answer.query.sort)
    return ((f"Prices are in {' and '.join(used)}, and were compared as they are.",),) if by_price and used[1:] else ()


def _table(answer: Found) -> d.Table:
    kinds = len({part.kind for part in answer.parts}) > 1
    remarkable = any(_status(part) for part in answer.parts)  # asked once: there may be many parts
    columns = [
        d.Column("part"),
        d.Column("maker"),
        *([d.Column("kind")] if kinds else []),
        *(d.Column(name, detail=True) for name in answer.shown),
        d.Column("price", right=True, detail=True),
        d.Column("on hand", right=True, detail=True),
        d.Column("package", detail=True),
        *([d.Column("status", detail=True)] if remarkable else []),
    ]
    rows = tuple(_row(part, answer, kinds, remarkable) for part in answer.parts)
    caption = "Parts found, with their status where they are not active"
    return d.Table(caption, tuple(columns), rows)


def _row(part: FoundPart, answer: Found, kinds: bool, remarkable: bool) -> d.Row:
    values = part.values
    cells: Sequence[d.Line] = (
        (d.Name(str(values["part_number"])),),
        (d.Name(str(values["maker"])),),
        *([(part.kind,)] if kinds else []),
        *((_value(values.get(name), unit),) for name, unit in answer.shown.items()),
        _price(part),
        (on_hand(values["quantity"] if values["quantity"] is not None else float("nan")),),
        (_value(values["package"]),),
        *([_status(part)] if remarkable else []),
    )
    return d.Row(tuple(cells), {"part": str(values["part_number"]), "maker": str(values["maker"]), "kind": part.kind})


def _status(part: FoundPart) -> d.Line:
    """The status of a part; nothing where it is active, as nearly all are."""
    status = part.values["status"]
    return () if status == "active" else (_value(status),)


def _price(part: FoundPart) -> d.Line:
    price, currency = part.values["price"], part.values["currency"]
    if price is None:
        return ("-",)
    return d.line(d.Number(price, "", f"{price:g}"), " " if currency else "", d.Name(currency or ""))


def _value(value: Any, unit: str = "") -> d.Span:
    if value is None:
        return "-"
    return d.Name(value) if isinstance(value, str) else d.Number(value, unit)


__all__ = ["document"]
