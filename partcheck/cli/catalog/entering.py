"""Commands that enter parts by form: catalog add, edit, copy."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli import completing
from partcheck.cli.app import Answer, CatalogAt
from partcheck.cli.catalog.finding import By, Named
from partcheck.cli.catalog.group import group

if TYPE_CHECKING:
    from partcheck.catalog import Catalog
    from partcheck.cli.catalog.form import Dialog
    from partcheck.jobs.entry.drafts import PartDraft
    from partcheck.parts import Part
    from partcheck.parts.entry import Entry

Boards = Annotated[
    list[Path] | None,
    typer.Option("--board", help="Show also what the part leaves unproven on this board; may be repeated."),
]


@group.command(short_help="Enter a new part from its datasheet by form.")
def add(
    kind: Annotated[
        str,
        typer.Argument(
            metavar="KIND", help="mosfet, bjt, led, diode, regulator or terminal.", autocompletion=completing.kinds
        ),
    ],
    board: Boards = None,
    catalog: CatalogAt = None,
    by: By = None,
) -> Answer:
    """Enter a new part from its datasheet by form: questions in the order of a datasheet, each checked at once.

    Enter skips what is not stated, ? explains, < goes back, . leaves and keeps a draft, which the same command resumes.
    """
    from partcheck.catalog import open_catalog
    from partcheck.cli.asking import whoever
    from partcheck.cli.catalog.form import Dialog, wording
    from partcheck.cli.catalog.form.screen import say
    from partcheck.cli.catalog.kinds import known_kind
    from partcheck.jobs.entry.drafts import key_of
    from partcheck.parts.entry import Entry

    kind, who = known_kind(kind), whoever(by)
    check_boards(board)
    with open_catalog(catalog, create=True) as opened:
        draft = begin(catalog, key_of("add", kind), who, lambda: Entry(kind))
        say(wording.HELP)
        dialog = Dialog(draft, opened, True)
        return finish(dialog, f"add {kind}", board, catalog, lambda: dialog.walk(dialog.steps()))


@group.command()
def edit(part: Named, board: Boards = None, catalog: CatalogAt = None, by: By = None) -> Answer:
    """Change values of a part by form. The former values are kept; somebody else's change meanwhile is told."""
    from partcheck.catalog import open_catalog
    from partcheck.cli.asking import whoever
    from partcheck.cli.catalog.form import Dialog
    from partcheck.cli.catalog.form.ending import bring_together, edit_loop
    from partcheck.jobs.entry.drafts import key_of
    from partcheck.parts.documents import to_record
    from partcheck.parts.entry import Entry

    maker, _, number = part.rpartition(":")
    who = whoever(by)
    check_boards(board)
    with open_catalog(catalog) as opened:
        now = opened.part(number, maker or None)
        key = key_of("edit", now.kind, now.maker, now.part_number)
        draft = begin(catalog, key, who, lambda: Entry.of(now))
        dialog = Dialog(draft, opened, False)

        def ask() -> None:
            if draft.entry.base != to_record(now):  # a draft from before somebody else's change
                bring_together(dialog, now)
            edit_loop(dialog)

        return finish(dialog, f"edit {part}", board, catalog, ask)


@group.command(short_help="Enter a variant of a part by form.")
def copy(
    part: Named,
    new: Annotated[str, typer.Argument(metavar="NEW", help="Part number of the variant.", show_default=False)],
    board: Boards = None,
    catalog: CatalogAt = None,
    by: By = None,
) -> Answer:
    """Enter a variant of a part by form: everything is taken over but price, stock and notes; say what differs."""
    from partcheck.catalog import open_catalog
    from partcheck.cli.asking import whoever
    from partcheck.cli.catalog.form import Dialog
    from partcheck.cli.catalog.form.ending import edit_loop
    from partcheck.errors import UsageError
    from partcheck.jobs.entry.drafts import key_of
    from partcheck.parts.entry import Entry

    maker, _, number = part.rpartition(":")
    new, who = " ".join(new.split()), whoever(by)
    check_boards(board)
    with open_catalog(catalog) as opened:
        of = opened.part(number, maker or None)
        if any(each.part_number == new for each in opened.named(of.kind, new, of.maker)):
            raise UsageError(
                f"{opened.where} has {new} ({of.maker}) already; change it with: partcheck catalog edit {new}"
            )

        draft = begin(
            catalog, key_of("copy", of.kind, of.maker, of.part_number, new), who, lambda: Entry.copied(of, new)
        )
        dialog = Dialog(draft, opened, True)
        return finish(dialog, f"copy {part} {new}", board, catalog, lambda: edit_loop(dialog), f"of {of.name}")


def check_boards(boards: list[Path] | None) -> None:
    """Say now, and not after all questions, that a board cannot be read."""
    from partcheck.board import read_board

    for board in boards or ():
        read_board(board)


def begin(catalog: str | None, key: str, who: str, start: "Callable[[], Entry]") -> "PartDraft":
    """The draft to go on with, if there is one and that is wanted, else a new one."""
    from datetime import date

    from partcheck.cli.catalog.form.screen import ask, say
    from partcheck.jobs.entry.drafts import drafts_folder, new_draft, open_drafts

    folder = drafts_folder(catalog)
    for draft in reversed(open_drafts(folder, key, who)):
        count = len(draft.entry.cells) + len(draft.entry.rows)
        own = draft.who == who
        whose = "" if own else f" by {draft.who}"
        say(f"There is a draft of {draft.begun}{whose}: {draft.entry.name}, {count} values.")
        answer = ask_plainly(ask, f"Continue with it? [{'Y/n' if own else 'y/N'}, d deletes it] ")
        if answer in ("y", "yes") or (own and not answer):
            made = draft
            break
        if answer == "d":
            draft.drop()
    else:
        made = new_draft(folder, key, who, start())
    made.entry.source |= {"entered_by": who, "entered_on": date.today().isoformat()}
    return made


def ask_plainly(ask: "Callable[[str], str]", prompt: str) -> str:
    """An answer where there is nothing to go back to and nothing to leave."""
    from partcheck.cli.catalog.form.screen import Back, Finish, Leave

    try:
        return ask(prompt).strip().casefold()
    except (Back, Finish):
        return ""
    except Leave:
        raise typer.Abort from None


def finish(
    dialog: "Dialog",
    command: str,
    boards: list[Path] | None,
    catalog: str | None,
    questions: "Callable[[], None]",
    note: str = "",
) -> Answer:
    """Ask, settle and save; or keep the draft and say how to go on."""
    from partcheck.cli.catalog.form.ending import settle
    from partcheck.cli.catalog.form.screen import Leave

    try:
        questions()
        part = settle(dialog, boards or (), catalog)
        text = save(dialog, part, command.partition(" ")[0], note, boards, catalog)
    except Leave:
        return Answer(left(dialog, command))
    except KeyboardInterrupt:
        print(f"\n{left(dialog, command)}")
        raise
    dialog.draft.drop()
    return Answer(text)


def left(dialog: "Dialog", command: str) -> str:
    """Keep the draft, and the sentence that says how to go on."""
    entry = dialog.entry
    if not dialog.draft.path.exists() and not (entry.cells or entry.rows):
        return "nothing was entered"
    dialog.draft.keep()
    return f"kept as a draft, and not in the catalog yet; continue with:\n  partcheck catalog {command}"


def save(dialog: "Dialog", part: "Part", what: str, note: str, boards: list[Path] | None, catalog: str | None) -> str:
    """Save it, as often as somebody else was faster; the sentence that says so."""
    from partcheck.cli.asking import now
    from partcheck.cli.catalog.form.ending import bring_together, settle
    from partcheck.errors import ChangedMeanwhile
    from partcheck.parts.documents import from_record, to_record

    opened: Catalog = dialog.catalog
    who = str(dialog.entry.source["entered_by"])
    while True:
        base = dialog.entry.base
        former = from_record(base, part.name) if what == "edit" and base is not None else None
        if former is not None and to_record(former) == to_record(part):
            return f"nothing about {part.name} was changed"
        try:
            opened.change(part, former, who, now(), what, note)
        except ChangedMeanwhile as slip:
            if former is None:
                there = opened.named(part.kind, part.part_number, part.maker)
                if any(to_record(each) == to_record(part) for each in there):
                    return f"{part.name} is in {opened.where} already, exactly like this"
                dialog.draft.keep()
                raise
            bring_together(dialog, opened.part(part.part_number, part.maker, part.kind), slip)
            part = settle(dialog, boards or (), catalog)
            continue
        doubts = dialog.doubts()
        seen = f"; {len(doubts)} doubtful, see: partcheck catalog review {part.part_number}" if doubts else ""
        return f"{part.name} is in {opened.where}{seen}"
