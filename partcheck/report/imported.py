"""What an import did, or would do, as text."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from partcheck.jobs.entry.importing import Difference, Imported
from partcheck.report.lines import heading, labelled, wrap

_FEW = 20  # new parts that are named one by one


def text(done: Imported) -> str:
    """The report of an import."""
    lines: list[str] = []
    if done.preview and done.added:
        lines += _new(done)
    if done.preview and done.differences:
        lines += [*differences(done.differences), ""]
    if done.bad:
        lines += [*heading("Rejected"), *(line for cell in done.bad for line in wrap(str(cell), "  - ")), ""]
    lines += wrap(_summary(done))
    if done.rejects is not None:
        rows = "1 row" if done.rejected_rows == 1 else f"{done.rejected_rows} rows"
        lines += wrap(f"{rows} of rejected parts are in {done.rejects}; mend them there and import that file.")
    return "\n".join(lines)


def _new(done: Imported) -> list[str]:
    names = [f"{part.name}, {part.kind}" for part in done.added]
    more = [f"and {len(names) - _FEW} more"] if len(names) > _FEW else []
    return [*heading("New"), *(f"  {name}" for name in names[:_FEW]), *(f"  {text}" for text in more), ""]


def _summary(done: Imported) -> str:
    added, changed, same, cleared = done.outcome
    if not added and not changed:
        if not same:
            return f"{done.source} holds no parts that could be entered; {done.catalog} is as it was"
        parts = "the 1 part is" if same == 1 else f"all {same} parts are"
        return f"nothing changed: {parts} in {done.catalog} just as given"
    if done.preview:
        told = f"{_parts(added)} would be added, {changed} changed, {same} are as they were, in {done.catalog}"
    else:
        told = f"{_parts(added)} added, {changed} changed, {same} as they were, in {done.catalog}"
    values = "1 value that is" if cleared == 1 else f"{cleared} values that are"
    goes = "would go" if done.preview else "went"
    return f"{told}; {values} no longer stated {goes}" if cleared else told


def _parts(count: int) -> str:
    return "1 part" if count == 1 else f"{count} parts"


def differences(found: Sequence[Difference], most: int | None = None) -> list[str]:
    """Every value that would change, under the part it belongs to: former, arrow, new."""
    lines = heading("Changes")
    for _, group in groupby(found[:most], key=lambda difference: (*difference.part.key, difference.part.kind)):
        some = list(group)
        lines.append(f"{some[0].part.name}, {some[0].part.kind}")
        lines += _of_part(some)
    if most is not None and len(found) > most:
        lines.append(f"and {len(found) - most} more; --preview shows all of them")
    return lines


def _of_part(some: Sequence[Difference]) -> Iterator[str]:
    for difference in some:
        column = f"{difference.column} {difference.where}".strip()
        change = f"{difference.former_text or 'not stated'} -> {difference.new_text or 'not stated'}"
        if len(column) < 22:
            yield from labelled(column, change, 2, 22)
        else:
            yield from wrap(column, "  ")
            yield from wrap(change, " " * 24)
