"""Accepted substitutions: one just accepted, the list with what is stale, one in full with all that it rested on."""

import json
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from partcheck.jobs.decisions.accept import Decided
from partcheck.jobs.decisions.snapshots import differences, named, part_value, stored
from partcheck.jobs.decisions.stale import KeptRecord, Records, Standing, read_record
from partcheck.policy import ASSUMED, POLICIES
from partcheck.report import document as d
from partcheck.report.answers import common
from partcheck.report.answers import phrases as say
from partcheck.requirement import Verdict
from partcheck.units import show

LONG_NOTE = 240
"""Letters of a note that a list shows; in full it shows all of them."""
Fact = tuple[str, d.Line]


# ---- one just accepted


def accepted(decided: Decided, made_on: date | None = None) -> d.Document:
    """What was accepted, for a person, and where it is written down."""
    record = read_record(decided.row, decided.where)
    head = d.line(f"Accepted as number {record.row.number}: ", _what(record), ".")
    where = f"{decided.where}{', which was made for it' if decided.made_catalog else ''}"
    facts = (*_body(record, False), *_who(record, len(record.row.note) + len(record.row.accepted_by)))
    return d.Document(
        "accept",
        d.line("Accepted substitution ", d.Name(str(record.row.number))),
        (*_identity(record), ("Parts from", (d.Name(decided.setup.parts.where),))),
        d.present(
            d.Finding(record.verdict, (head, d.line("Verdict: ", _result(record), "."))),
            d.Facts((("written in", (d.Name(where),)), *facts)),
            common.not_judged(decided.not_judged, elsewhere=True),
            common.cautions(decided.cautions),
        ),
        made_on=common.today(made_on),
    )


def _identity(record: KeptRecord) -> tuple[Fact, ...]:
    row = record.row
    revision = d.line(", rev. ", d.Name(row.revision)) if row.revision else ()
    board = d.line(d.Name(row.board), revision, ", ", d.Name(str(record.basis["path"])))
    shipped = POLICIES.get(row.policy)
    unchecked = common.unchecked(shipped) if shipped is not None else ""
    return (("Board", board), ("Policy", d.line(d.Name(row.policy), unchecked)))


def _what(record: KeptRecord) -> d.Line:
    row = record.row
    replaced = bool(row.fitted) and row.fitted != row.part_number
    before = d.line(", instead of ", d.Name(row.fitted)) if replaced else ()
    return d.line(d.Name(row.part_number), " (", d.Name(row.maker), ") as ", d.Name(row.reference), before)


def _result(record: KeptRecord) -> d.Line:
    headroom, by = record.result["headroom"], record.result["set_by"]
    spare = d.line(", ", say.to_spare(headroom), " (", d.Id(str(by)), ")") if headroom is not None else ()
    return d.line(d.Sign(record.verdict), spare)


def _body(record: KeptRecord, sources: bool) -> Iterator[Fact]:
    """Changes, what fails, what was not proved, what gets worse, and what was assumed (with its ``sources``)."""
    result = record.result
    if result["changes"]:
        yield "changes", (d.Name("; ".join(result["changes"])),)
    for made in record.findings(Verdict.FAILS):
        needed, has = (_value(made[side], made["unit"]) for side in ("demand", "capability"))
        yield "FAILS", d.line(d.Id(made["id"]), " needs ", needed, ", has ", has)
    for made in record.findings(Verdict.UNPROVEN):
        yield "not proved", d.line(d.Id(made["id"]), ": look up ", d.Name("; ".join(made["missing"]) or "a value"))
    for worse in result["worsened"]:
        words = f"{worse['reference']} {worse['requirement']}: {worse['before']} becomes {worse['after']}"
        yield "worsens", (d.Name(words),)
    noted = dict.fromkeys(text for made in result["requirements"] for text in made["assumed"])
    assumed = [_assumed(text, sources) for text in noted]
    if assumed:
        yield "assumed", (d.Name("; ".join(assumed)),)


def _assumed(text: str, sources: bool) -> str:
    """What was assumed, as kept (``vbe_off = 0.4 (source)``), with its unit; and its source where that is wanted."""
    told, bracket, source = text.partition(" (")
    name, _, number = told.partition(" = ")
    declared = ASSUMED.get(name)
    with suppress(ValueError):
        told = f"{name} = {show(float(number), declared.unit)}" if declared is not None else told
    return told + (bracket + source) * sources


def _value(value: Any, unit: str) -> d.Span:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return d.Number(stored(value, unit), unit)
    return "-" if value is None else d.Name(str(value))


def _who(record: KeptRecord, most: int) -> Iterator[Fact]:
    row = record.row
    yield "accepted", d.line(d.Name(_when(row.accepted_at)), " by ", d.Name(_cut(row.accepted_by, most)))
    if row.note:
        yield "note", (d.Name(_cut(row.note, most)),)


def _when(stamp: str) -> str:
    """The time of a record as people write it: ``2026-11-30 20:38 UTC``."""
    try:
        return f"{datetime.fromisoformat(stamp).astimezone(UTC):%Y-%m-%d %H:%M} UTC"
    except ValueError:
        return stamp


def _cut(text: str, most: int) -> str:
    most = max(most, LONG_NOTE)
    rest = len(text) - most
    return text if rest <= 0 else f"{text[:most]}… ({rest} more characters; --number shows all)"


# ---- the list


def listed(found: Records, made_on: date | None = None) -> d.Document:
    """The accepted substitutions, newest first, each with what changed since."""
    return d.Document(
        "records",
        d.line("Accepted substitutions, newest first"),
        (("Catalog", (d.Name(_file(found.where)),)),),
        (_head(found), *(_entry(standing) for standing in found.standings)),
        made_on=common.today(made_on),
    )


def _file(where: str) -> str:
    """A catalog in a file by its name, as a list of records is handed on; one on a server as it is."""
    return where if "://" in where else Path(where).name


def _head(found: Records) -> d.Finding:
    if not found.standings:
        about = d.line(" for ", d.Name(found.about)) if found.about else ()
        what = "No accepted substitution is stale" if found.only_stale else "No substitution was accepted"
        return d.Finding(None, (d.line(what, about, "."),))
    stale = sum(standing.stale for standing in found.standings)
    failing = sum(standing.verdict is Verdict.FAILS for standing in found.standings)
    count = say.counted(len(found.standings), "accepted substitution")
    sentence = f"{count}: {stale} stale, {failing} failing now."
    worst = min(standing.verdict for standing in found.standings)
    return d.Finding(worst, ((sentence,),))


def _entry(standing: Standing) -> d.Section:
    record = standing.record
    title = d.line(f"{record.row.number}  ", _what(record))
    return d.Section(title, (d.Facts((*_state(standing), *_who(record, LONG_NOTE))),))


def _state(standing: Standing) -> Iterator[Fact]:
    record = standing.record
    place = d.joined([value for _, value in _identity(record)], "; policy ")
    yield "STALE" if standing.stale else "current", d.line(_result(record), "; board ", place)
    if standing.carried_out:
        yield "fitted", ("it is now fitted in the board file",)
    for reason in standing.reasons:
        yield "because", (d.Name(reason),)
    if standing.stale:
        yield "now", _again(standing)


def _again(standing: Standing) -> d.Line:
    """What judging again gives, and whether that is what was accepted."""
    made = standing.again
    if made is None:
        return ("cannot be judged again",)
    tightest = made.judged.tightest
    by = d.line(", ", say.to_spare(tightest.headroom), " (", d.Id(tightest.id), ")") if tightest is not None else ()
    same: d.Line = ("as accepted",)
    if made.verdict is not standing.record.verdict:
        same = d.line("accepted: ", _result(standing.record))
    return d.line("judged again: ", d.Sign(made.verdict), by, "; ", same)


# ---- one in full


def in_full(standing: Standing, made_on: date | None = None) -> d.Document:
    """One accepted substitution with everything that was written down."""
    record = standing.record
    row, basis = record.row, record.basis
    state = "stale" if standing.stale else "current"
    facts = (*_state(standing), *_body(record, True), *_who(record, len(row.note) + len(row.accepted_by)))
    return d.Document(
        "records",
        d.line(f"Accepted substitution {row.number}: ", _what(record)),
        _identity(record),
        d.present(
            d.Finding(standing.verdict, (d.line(_what(record), f" is {state}; accepted as ", _result(record), "."),)),
            d.Facts(facts),
            d.section("Requirements at the time", _requirements(record)),
            d.section("Values that the requirements rested on", _used(record)),
            d.section(d.line("Every value of ", d.Name(row.part_number), " at the time"), _stated(basis["part"])),
            d.section(d.line("Policy ", d.Name(row.policy), " at the time"), _leaves(basis["policy_values"])),
            d.section("Board at the time, as its file wrote it", _leaves(basis["written"])),
            common.cautions(record.result["cautions"]),
        ),
        (f"Result at the time by partcheck {row.version}.",),
        common.today(made_on),
    )


def _requirements(record: KeptRecord) -> d.Table:
    rows = []
    for made in record.result["requirements"]:
        sign = d.Sign(Verdict[made["verdict"].upper()], "" if made["counts"] else "other footprint")
        numbers = [(_value(made[side], made["unit"]),) for side in ("demand", "capability")]
        spare: d.Line = (say.share(made["headroom"]),) if made["headroom"] is not None else ("-",)
        rows.append(d.Row(((d.Id(made["id"]),), (sign,), *numbers, spare)))
    columns = (
        d.Column("requirement"),
        d.Column("verdict"),
        d.Column("needs", right=True),
        d.Column("has", right=True),
        d.Column("to spare", right=True),
    )
    return d.Table("What became of each requirement", columns, tuple(rows))


def _used(record: KeptRecord) -> d.Table:
    rows: dict[tuple[str, str, str, str], d.Row] = {}
    for made in record.result["requirements"]:
        for value in made["values"]:
            shown = _value(value["value"], value["unit"])
            key = (value["name"], str(value["value"]), value["of"], value["source"])
            cells: tuple[d.Line, ...] = ((d.Id(value["name"]),), (shown,), (value["of"],), (d.Name(value["source"]),))
            rows.setdefault(key, d.Row(cells))
    columns = (d.Column("value"), d.Column("was", right=True), d.Column("of"), d.Column("source"))
    return d.Table("Values", columns, tuple(rows.values()))


def _stated(part: dict[str, Any]) -> d.Table:
    """Every single value of a part."""
    leaves = differences(_empty(part), part)
    rows = [(named(path), part_value(str(part["kind"]), path, leaf)) for path, _, leaf in leaves]
    return _pairs("Values of the part", rows)


def _leaves(record: dict[str, Any]) -> d.Table:
    """Every single value of a snapshot with its path."""
    rows = []
    for path, _, leaf in differences(_empty(record), record):
        rows.append((named(path), leaf if isinstance(leaf, str) else json.dumps(leaf, ensure_ascii=False)))
    return _pairs("Values", rows)


def _pairs(caption: str, rows: list[tuple[str, str]]) -> d.Table:
    made = tuple(d.Row(((d.Name(name),), (d.Name(value),))) for name, value in rows)
    return d.Table(caption, (d.Column("value"), d.Column("was")), made)


def _empty(value: Any) -> Any:
    """The same tables with nothing in them, so that every value in the full one differs."""
    if isinstance(value, dict):
        return {key: _empty(inner) for key, inner in value.items()}
    if isinstance(value, list) and any(isinstance(inner, dict) for inner in value):
        return [_empty(inner) for inner in value]
    return None


__all__ = ["accepted", "in_full", "listed"]
