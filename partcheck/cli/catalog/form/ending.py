"""The end of the form: what is missing and what that leaves unproven, what is doubtful, the review, saving."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from partcheck.cli.catalog.form.dialog import Dialog
from partcheck.cli.catalog.form.screen import Back, Finish, Leave, agreed, ask, say, say_lines
from partcheck.errors import ChangedMeanwhile, PartcheckError
from partcheck.jobs.entry.consequences import missing_by_value, on_board, unproven
from partcheck.jobs.entry.merging import SOURCE, MergedValue, merged
from partcheck.parameters import KINDS
from partcheck.parts import Part
from partcheck.parts.checks import columns
from partcheck.parts.documents import from_record, to_record
from partcheck.report.answers.history.document import said
from partcheck.report.answers.parts.document import sheet
from partcheck.report.lines import heading, labelled
from partcheck.report.render import text

_MOST = 4  # requirements named for one missing value


def settle(dialog: Dialog, boards: Sequence[Path], catalog: str | None) -> Part:
    """Show what came of it until it is agreed to; the part to save."""
    while True:
        part = _whole(dialog)
        say_lines(["", *heading(f"{part.name}, {KINDS[part.kind].title}"), text.excerpt(sheet(part)), ""])
        tell_missing(part)
        for board in boards:
            tell_board(board, part, catalog)
        for doubt in dialog.doubts():
            say(f"Doubtful: {doubt.reason}.", "  ")
        try:
            answer = ask("\nEnter saves it; a name such as vds_max changes that value; . leaves a draft: ").strip()
        except (Back, Finish):
            continue
        if answer.casefold() in ("", "y", "yes"):
            return part
        if answer.casefold() in ("n", "no"):
            raise Leave
        if answer == "?":
            dialog.list_all()
        else:
            dialog.change(answer)


def _whole(dialog: Dialog) -> Part:
    """The part, once nothing about it is wrong."""
    while True:
        part, problems = dialog.entry.attempt()
        if part is not None:
            return part
        first = problems[0]
        say(f"{first.column} {first.reason}: it must be entered before the part can be saved.")
        try:
            dialog.take(first.table or first.column)
        except (Back, Finish):
            continue
        dialog.draft.keep()


def tell_missing(part: Part) -> None:
    """What each missing value leaves unproven, by role."""
    for role, left in unproven(part).items():
        if not left:
            say(f"Nothing is missing that a {role} asks first.")
            continue
        say(f"Not stated, and so left unproven in a {role} that asks it:")
        for name, ids in missing_by_value(left).items():
            more = f" and {len(ids) - _MOST} more" if len(ids) > _MOST else ""
            say_lines(labelled(name, f"{', '.join(ids[:_MOST])}{more}", 2, 16))


def tell_board(board: Path, part: Part, catalog: str | None) -> None:
    """What the part would leave unproven, or fail, in each place of a board that takes its kind."""
    found = on_board(board, part, catalog)
    if not found:
        say(f"On {board.name} no place takes {KINDS[part.kind].one}.")
    for made in found:
        told = [f"unproven: {', '.join(made.unproven)}" if made.unproven else ""]
        told += [f"fails: {', '.join(made.fails)}" if made.fails else ""]
        text = "; ".join(filter(None, told)) or "everything asked there is proved and met"
        say(f"On {made.board} at {', '.join(made.places)}: {text}.")


# ---- somebody else changed it meanwhile


def bring_together(dialog: Dialog, now: Part, slip: ChangedMeanwhile | None = None) -> None:
    """Put what was changed here upon what the part states now; where both changed one value, ask whose stands."""
    entry = dialog.entry
    assert entry.base is not None
    if slip is not None:
        say(f"{slip}.")

    def mine_stands(value: MergedValue) -> bool:
        became, before = (_said(now.kind, value.column, each) for each in (value.there, value.was))
        say(f"Meanwhile {value.column} became {became} (it was {before}).", "  ")
        own = value.contested and not value.column.startswith(SOURCE)
        return own and _whose(now.kind, value.column, value.here)

    made = merged(now.kind, entry.base, to_record(_whole(dialog)), to_record(now), mine_stands)
    entry.take(to_record(from_record(made, now.name)))
    entry.base = to_record(now)
    dialog.draft.keep()


def _whose(kind: str, column: str, here: Any) -> bool:
    say(f"You changed {column} to {_said(kind, column, here)} as well.", "  ")
    return agreed(f"  Put yours over theirs in {column}?", False)


def _said(kind: str, column: str, value: Any) -> str:
    import json

    try:
        return said(kind, column, None if value is None else json.dumps(value))
    except (PartcheckError, KeyError, AttributeError):
        return str(value)


def edit_loop(dialog: Dialog) -> None:
    """Ask which values to change until nothing more is named."""
    say_lines(["", *heading(f"{dialog.entry.name}, {dialog.kind}")])
    say("Name what to change: a value such as vds_max, 'vds_max = 60 V', a table, a group, or all. ? lists everything.")
    while True:
        try:
            text = ask("Change (Enter goes on to the review): ").strip()
        except Back:
            continue
        except Finish:
            return
        if not text:
            return
        if text == "?":
            dialog.list_all()
        elif text.startswith("@"):
            dialog.set_source(text[1:])
        else:
            dialog.change(text)


__all__ = ["bring_together", "columns", "edit_loop", "settle", "tell_board", "tell_missing"]
