"""Commands that begin a board file: from a list of channels."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli.app import Answer, Force
from partcheck.cli.board.group import group

if TYPE_CHECKING:
    from partcheck.jobs.boards.start import Begun

Write = Annotated[
    Path | None, typer.Option("--write", metavar="FILE", help="Write the board file; if left out, it is printed.")
]
Title = Annotated[str, typer.Option("--name", help="Name of the board.")]
PartsIn = Annotated[
    list[Path] | None,
    typer.Option("--parts", help="Folder or file of part sheets that the board names (default: your catalog)."),
]
Ambient = Annotated[str, typer.Option("--ambient", help="Air around the board, as in '5..45 °C'.")]
Logic = Annotated[str, typer.Option("--logic", help="Supply of the logic that drives the switches, as in '5 V ±5 %'.")]
HEAD = ("What is marked as assumed was not stated: look it up, and write what is true.",)


@group.command("from", short_help="Make a board file from a list of channels.")
def from_(
    channels: Annotated[
        Path, typer.Argument(metavar="CHANNELS", help="List of channels, CSV or XLSX: a row each.", show_default=False)
    ],
    write: Write = None,
    name: Title = "",
    parts: PartsIn = None,
    ambient: Ambient = "",
    logic: Logic = "",
    force: Force = False,
) -> Answer:
    """Make a board file from a list of channels, one row each: load, voltage, current or resistance, switch, clamp ...

    Header words as people write them: Load, Type, Voltage, Current, Resistance, Inductance, MOSFET or NPN, Resistor,
    Pull-down, Diode, LED, LED resistor, Terminal, Cable length, Wire; a unit may stand in brackets.
    """
    from partcheck.jobs.boards.channel_sheet import read_channels
    from partcheck.jobs.boards.start import BoardStart
    from partcheck.jobs.judge.setup import known_parts

    refuse_target(write, force, [channels])
    named = parts_named(parts, write)
    npn = set(known_parts(parts or ()).names("bjt", ""))
    found = read_channels(channels, npn.__contains__)
    start = BoardStart(name or channels.stem, named, ambient, logic)
    notes = tuple(f"partcheck: the column {title!r} is not understood and was left out" for title in found.unknown)
    return written(_begun(start, found.channels, channels), write, notes)


def _begun(start: object, channels: Sequence[object], where: Path) -> "Begun":
    from partcheck.errors import BoardError
    from partcheck.jobs.boards.channels import BadChannel
    from partcheck.jobs.boards.start import begun

    try:
        return begun(start, channels)  # type: ignore[arg-type]
    except BadChannel as slip:
        raise BoardError(f"{where}: {slip}") from None


def refuse_target(write: Path | None, force: bool, reading: Sequence[Path]) -> None:
    """Refuse early what cannot be written."""
    from partcheck.errors import UsageError
    from partcheck.outputs import objection

    if write is not None and (said := objection(write, force, reading)):
        raise UsageError(said)


def parts_named(parts: Sequence[Path] | None, write: Path | None) -> list[str]:
    """Folders of parts as a board file names them: relative to its own folder."""
    import os

    from partcheck.errors import UsageError

    for path in parts or ():
        if not path.exists():
            raise UsageError(f"there is no {path} to read parts from; check the name")
    folder = (write or Path("board.toml")).absolute().parent
    return [Path(os.path.relpath(path.absolute(), folder)).as_posix() for path in parts or ()]


def written(made: "Begun", write: Path | None, notes: tuple[str, ...] = ()) -> Answer:
    """Print the board file, or write it and say what stands in it and what to do next."""
    from partcheck.board import parse_board
    from partcheck.jobs.boards.start import assumed
    from partcheck.outputs import write_text
    from partcheck.report.answers.phrases import counted

    text = made.text(HEAD)
    board = parse_board(text, write or Path("board.toml")).board
    if write is None:
        return Answer(text.rstrip("\n"), notes=notes)
    write_text(write, text)
    guesses = list(assumed(made))
    lines = [
        f"{write} written: {counted(len(board.load), 'load')}, {counted(len(board.role), 'place')}, "
        f"{counted(len(text.splitlines()), 'line')}."
    ]
    if guesses:
        lines += ["", "Assumed, and marked in the file:", *(f"  - {guess}" for guess in guesses)]
    lines += ["", f"What it leaves out: partcheck board check {write}", f"Will it work: partcheck check {write}"]
    return Answer("\n".join(lines), notes=notes)
