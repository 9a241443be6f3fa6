"""Answers that go into files besides the terminal: HTML pages and Markdown."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path

from partcheck.cli.app import Answer
from partcheck.errors import PartcheckError, UsageError
from partcheck.outputs import objection, write_text


def refuse_targets(
    board: Path | None,
    parts: Sequence[Path] | None,
    catalog: str | None,
    policy: str | None,
    force: bool,
    *targets: Path | None,
) -> None:
    """Refuse early what cannot be written, what would replace a file that is there, and one file for two answers.

    ``board`` is None for a command that reads none.
    """
    wanted = [target for target in targets if target is not None]
    for target in wanted:
        if board is not None and target.is_file() and board.exists() and target.samefile(board):
            raise UsageError(f"{target} is the board file itself; name another file to write the answer in")
    refuse_to_write(force, _read(board, parts, catalog, policy) if wanted else (), *wanted)


def refuse_to_write(force: bool, reading: Iterable[Path], *targets: Path | None) -> None:
    """The same for a command that reads no board file; ``reading`` is what it reads."""
    wanted, in_use = [target for target in targets if target is not None], list(reading)
    for target in wanted:
        if said := objection(target, force, in_use):
            raise UsageError(said)
    if len({target.absolute() for target in wanted}) < len(wanted):
        raise UsageError(f"{wanted[0]} is named for two answers at once; name a file for each")


def _read(board: Path | None, parts: Sequence[Path] | None, catalog: str | None, policy: str | None) -> Iterator[Path]:
    """What a command reads besides the board; the board's own files last, as the board has to be read for them."""
    yield from parts or ()
    yield from (Path(name) for name in (catalog, policy) if name and "://" not in name)
    if board is None:
        return
    from partcheck.board import read_board

    with suppress(PartcheckError):
        file = read_board(board)
        yield from (file.folder / name for name in (*file.board.parts, file.board.policy) if name)


def with_pages(
    answer: Answer, html: Path | None, markdown: Path | None, page: Callable[[], str], log: Callable[[], str]
) -> Answer:
    """The answer, with a note for each file written."""
    notes = list(answer.notes)
    for target, make in ((html, page), (markdown, log)):
        if target is not None:
            write_text(target, make())
            notes.append(f"partcheck: wrote {target}")
    return answer._replace(notes=tuple(notes))
