"""Accepted substitutions as text: one just accepted, the list with what is stale, one in full."""

import json
from collections.abc import Iterator
from typing import Any

from partcheck.jobs.decisions.accept import Decided
from partcheck.jobs.decisions.snapshots import differences, named, part_value, stored
from partcheck.jobs.decisions.stale import Record, Records, Standing, read_record
from partcheck.report.lines import columns, labelled, listing, percent, verdict_word, visible, wrap
from partcheck.requirement import Verdict
from partcheck.units import show

_LONG_NOTE = 240


def text(decided: Decided) -> str:
    """What was accepted, and where it is written down."""
    record = read_record(decided.row, decided.where)
    row = record.row
    lines = _heading(f"Accepted as number {row.number}: {_what(record)}")
    lines += wrap(f"Board {_board(record)}; policy {visible(row.policy)}; parts from {decided.setup.parts.where}.")
    lines += wrap(f"Written down in {decided.where}{', which was made for it' if decided.made_catalog else ''}.")
    lines += ["", f"Verdict: {_result(record)}", *_body(record)]
    lines += ["", "Cautions", *listing(decided.cautions)]
    return "\n".join(lines)


def records(found: Records) -> str:
    """The list, newest first, each with what changed since."""
    lines = _heading(f"Accepted substitutions in {found.where}, newest first")
    if not found.standings:
        about = f" for {visible(found.about)}" if found.about else ""
        what = "stale" if found.only_stale else "accepted"
        return "\n".join([*lines, *wrap(f"none {what}{about}")])
    for i, standing in enumerate(found.standings):
        lines += [""] if i else []
        lines += wrap(f"{standing.record.row.number}  {_what(standing.record)}", "", "   ")
        lines += _entry(standing)
    stale = sum(standing.stale for standing in found.standings)
    lines += ["", f"{len(found.standings)} shown, {stale} stale"]
    return "\n".join(lines)


def full(standing: Standing) -> str:
    """One record with everything that was written down."""
    record = standing.record
    row, basis = record.row, record.basis
    lines = _heading(f"Accepted substitution {row.number}: {_what(record)}")
    lines += _entry(standing, len(row.note) + len(row.accepted_by))
    lines += ["", *wrap(f"Result at the time, by partcheck {visible(row.version)}"), *_body(record, note=False)]
    lines += ["", "Requirements", *columns(_requirements(record), right=(2, 3, 4))]
    lines += ["", "Values that the requirements rested on", *columns(_used(record), right=(1,))]
    lines += ["", *wrap(f"Every value of {_name(row.part_number)} at the time"), *columns(_stated(basis["part"]))]
    lines += ["", *wrap(f"Policy {visible(row.policy)} at the time"), *columns(_leaves(basis["policy_values"]))]
    lines += ["", "Board at the time, as its file wrote it", *columns(_leaves(basis["written"]))]
    lines += ["", "Cautions at the time", *listing(map(visible, record.result["cautions"]))]
    return "\n".join(lines)


def _heading(text: str) -> list[str]:
    """A heading that may hold names of anybody's, however long."""
    lines = wrap(text)
    return [*lines, "-" * max(map(len, lines))]


def _what(record: Record) -> str:
    row = record.row
    before = f", instead of {_name(row.fitted)}" if row.fitted and row.fitted != row.part_number else ""
    return f"{_name(row.part_number)} ({visible(row.maker)}) as {row.reference}{before}"


def _name(number: str) -> str:
    return visible(number)


def _board(record: Record) -> str:
    revision = f", revision {visible(record.row.revision)}" if record.row.revision else ""
    return f"{visible(record.row.board)}{revision}, {visible(record.basis['path'])}"


def _result(record: Record) -> str:
    found = record.result
    headroom = found["headroom"]
    by = f", least headroom {percent(headroom)} ({found['set_by']})" if headroom is not None else ""
    return f"{verdict_word(record.verdict)}{by}"


def _body(record: Record, note: bool = True) -> Iterator[str]:
    """Changes, what was not proven, what fails, what gets worse, and who said so."""
    result, row = record.result, record.row
    if result["changes"]:
        yield from labelled("changes", visible("; ".join(result["changes"])), 2)
    for finding in record.findings(Verdict.FAILS):
        yield from labelled("FAILS", f"{finding['id']}, {_pair(finding)}", 2)
    for finding in record.findings(Verdict.UNPROVEN):
        missing = "; ".join(finding["missing"]) or "a value"
        yield from labelled("not proven", visible(f"{finding['id']}: look up {missing}"), 2)
    for worse in result["worsened"]:
        what = f"{worse['reference']} {worse['requirement']}: {worse['before']} becomes {worse['after']}"
        yield from labelled("worsens", visible(what), 2)
    assumed = list(dict.fromkeys(text for finding in result["requirements"] for text in finding["assumed"]))
    if assumed:
        yield from labelled("assumed", visible("; ".join(assumed)), 2)
    if note:
        yield from _who(record, len(row.note) + len(row.accepted_by))


def _pair(finding: dict[str, Any]) -> str:
    return f"{_shown(finding['demand'], finding['unit'])} against {_shown(finding['capability'], finding['unit'])}"


def _shown(value: Any, unit: str) -> str:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return show(stored(value, unit), unit)
    return "-" if value is None else visible(str(value))


def _who(record: Record, most: int) -> Iterator[str]:
    row = record.row
    yield from labelled("accepted", f"{visible(row.accepted_at)} by {_cut(row.accepted_by, most)}", 2)
    if row.note:
        yield from labelled("note", _cut(row.note, most), 2)


def _cut(text: str, most: int) -> str:
    most = max(most, _LONG_NOTE)
    rest = len(text) - most
    return visible(text) if rest <= 0 else f"{visible(text[:most])}… ({rest} letters more; --number shows all)"


def _entry(standing: Standing, most: int = _LONG_NOTE) -> list[str]:
    record = standing.record
    state = "STALE" if standing.stale else "current"
    lines = labelled(state, f"{_result(record)}; policy {visible(record.row.policy)}; board {_board(record)}", 2)
    if standing.carried_out:
        lines += labelled("", "the board file has it fitted now", 2)
    for i, reason in enumerate(standing.reasons):
        lines += labelled("because" if i == 0 else "", visible(reason), 2)
    if standing.stale:
        lines += labelled("now", _again(standing), 2)
    lines += _who(record, most)
    return lines


def _again(standing: Standing) -> str:
    """What judging again gives, and whether that is what was accepted."""
    made = standing.again
    if made is None:
        return "cannot be judged again"
    tightest = made.judged.tightest
    by = f", least headroom {percent(tightest.headroom)} ({tightest.id})" if tightest is not None else ""
    same = "as accepted" if made.verdict is standing.record.verdict else f"accepted: {_result(standing.record)}"
    return f"judged again: {verdict_word(made.verdict)}{by}; {same}"


def _requirements(record: Record) -> Iterator[list[str]]:
    yield ["requirement", "verdict", "demand", "capability", "headroom"]
    for found in record.result["requirements"]:
        unit, headroom = found["unit"], found["headroom"]
        yield [
            found["id"],
            "change" if not found["counts"] else "FAILS" if found["verdict"] == "fails" else found["verdict"],
            _shown(found["demand"], unit),
            _shown(found["capability"], unit),
            percent(headroom) if headroom is not None else "-",
        ]


def _used(record: Record) -> Iterator[list[str]]:
    yield ["value", "", "of", "source"]
    seen = set()
    for found in record.result["requirements"]:
        for value in found["values"]:
            row = (visible(value["name"]), _shown(value["value"], value["unit"]), value["of"], visible(value["source"]))
            if row not in seen:
                seen.add(row)
                yield list(row)


def _stated(part: dict[str, Any]) -> Iterator[list[str]]:
    """Every single value of a part."""
    for path, _, leaf in differences(_empty(part), part):
        yield [visible(named(path)), visible(part_value(str(part["kind"]), path, leaf))]


def _leaves(record: dict[str, Any]) -> Iterator[list[str]]:
    """Every single value of a snapshot with its path."""
    for path, _, leaf in differences(_empty(record), record):
        told = leaf if isinstance(leaf, str) else json.dumps(leaf, ensure_ascii=False)
        yield [visible(named(path)), visible(told)]


def _empty(value: Any) -> Any:
    """The same tables with nothing in them, so that every value in the full one differs."""
    if isinstance(value, dict):
        return {key: _empty(inner) for key, inner in value.items()}
    if isinstance(value, list) and any(isinstance(inner, dict) for inner in value):
        return [_empty(inner) for inner in value]
    return None
