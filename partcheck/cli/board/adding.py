"""The command that adds a channel to a board."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli.app import Answer, Board, Force
from partcheck.cli.board.group import group

if TYPE_CHECKING:
    from partcheck.jobs.boards.adding import Added

add = typer.Typer(help="Add to a board file: a channel.", no_args_is_help=False, rich_markup_mode=None)
group.add_typer(add, name="add")


def _text(option: str, words: str) -> object:
    return typer.Option(option, help=words)


@add.command("channel")
def channel(
    board: Board,
    like: Annotated[str, _text("--like", "Load of the board whose channel the new one is like.")] = "",
    load: Annotated[str, _text("--load", "Name of the new load (with --like: the next number).")] = "",
    sort: Annotated[str, _text("--sort", "What it is: valve, relay, motor, lamp, heater, input ...")] = "",
    voltage: Annotated[str, _text("--voltage", "Voltage of its supply.")] = "",
    resistance: Annotated[str, _text("--resistance", "Its resistance.")] = "",
    current: Annotated[str, _text("--current", "Its current.")] = "",
    stall_current: Annotated[str, _text("--stall-current", "Of a motor with its shaft held.")] = "",
    inductance: Annotated[str, _text("--inductance", "Of a coil or motor.")] = "",
    rate: Annotated[str, _text("--rate", "How often it is switched off.")] = "",
    cable_length: Annotated[str, _text("--cable-length", "Of its cable, one way.")] = "",
    wire: Annotated[str, _text("--wire", "Cross-section of its cable.")] = "",
    switch: Annotated[str, _text("--switch", "Part that switches it.")] = "",
    switch_kind: Annotated[str, _text("--switch-kind", "mosfet or npn.")] = "",
    drive: Annotated[str, _text("--drive", "Logic output that turns it on.")] = "",
    resistor: Annotated[str, _text("--resistor", "Gate or base resistor.")] = "",
    hold_off: Annotated[str, _text("--hold-off", "Pull-down or base-emitter resistor.")] = "",
    clamp: Annotated[str, _text("--clamp", "Diode across the load.")] = "",
    indicator: Annotated[str, _text("--indicator", "LED beside the load.")] = "",
    indicator_resistor: Annotated[str, _text("--indicator-resistor", "Resistor of that LED.")] = "",
    write: Annotated[
        Path | None, typer.Option("--write", metavar="FILE", help="Write the board so changed as a new file.")
    ] = None,
    in_place: Annotated[bool, typer.Option("--in-place", help="Change the board file itself.")] = False,
    force: Force = False,
) -> Answer:
    """Add a channel: like that of another load with what differs, or one of its own; every other line stays.

    With neither --like nor any value it asks for them. Without --write and --in-place the changed board is printed.
    """
    from partcheck.cli.board.beginning import refuse_target

    values = {
        "load": load,
        "sort": sort,
        "voltage": voltage,
        "resistance": resistance,
        "current": current,
        "stall_current": stall_current,
        "inductance": inductance,
        "rate": rate,
        "cable_length": cable_length,
        "wire": wire,
        "switch": switch,
        "switch_kind": switch_kind,
        "drive": drive,
        "resistor": resistor,
        "hold_off": hold_off,
        "clamp": clamp,
        "indicator": indicator,
        "indicator_resistor": indicator_resistor,
    }
    _one_place(board, write, in_place)
    refuse_target(write, force, [board])
    return _written(_added(board, like, values), board if in_place else write)


def _one_place(board: Path, write: Path | None, in_place: bool) -> None:
    """Refuse two places for one board, and to change what is piped in."""
    from partcheck.errors import UsageError
    from partcheck.inputs import is_pipe

    if in_place and write is not None:
        raise UsageError("--write and --in-place are two places for one board; give one of them")
    if in_place and is_pipe(board):
        raise UsageError(f"{board} is a pipe, which cannot be changed in place; give --write FILE instead")


def _added(board: Path, like: str, values: Mapping[str, str]) -> "Added":
    from partcheck.board import read_board
    from partcheck.errors import UsageError
    from partcheck.jobs.boards.adding import like_another, of_its_own
    from partcheck.jobs.boards.channels import BadChannel

    file = read_board(board)
    stated = {key: text for key, text in values.items() if text}
    if not like and not stated:
        stated = _typed()
    try:
        if like:
            return like_another(file, _load(file.board.load, like, board), stated)
        return of_its_own(file, stated)
    except BadChannel as slip:
        raise UsageError(str(slip)) from None


def _typed() -> dict[str, str]:
    """The values of a channel, asked one by one; Enter skips."""
    from partcheck.cli.board.new import answer
    from partcheck.cli.catalog.form.screen import Back, Finish, Leave
    from partcheck.jobs.boards.dialog import one_channel, stated

    answers: dict[str, str] = {}
    while (question := next((each for each in one_channel(answers) if each.id not in answers), None)) is not None:
        try:
            answers[question.id] = answer(question)
        except Back:
            if answers:
                answers.popitem()
        except Finish:
            break
        except Leave:
            raise typer.Abort from None
    return stated(answers)


def _load(loads: Mapping[str, object], name: str, board: Path) -> str:
    import difflib

    from partcheck.errors import UsageError

    for known in loads:
        if known.casefold() == name.casefold():
            return known
    close = difflib.get_close_matches(name, loads, 1, 0.5)
    hint = f"did you mean {close[0]}?" if close else f"it has {', '.join(loads) or 'none'}"
    raise UsageError(f"{board} has no load {name!r}; {hint}")


def _written(added: "Added", target: Path | None) -> Answer:
    from partcheck.board import parse_board
    from partcheck.outputs import write_text

    text = added.text()
    parse_board(text, target or added.file.path)
    notes = tuple(f"partcheck: {note}" for note in added.notes)
    if target is None:
        return Answer(text.rstrip("\n"), notes=notes)
    write_text(target, text)
    names = ", ".join(f"{path[0]}.{path[1]}" for path in added.entries)
    return Answer(f"{target} written; new in it: {names}.\nWill it work: partcheck check {target}", notes=notes)
