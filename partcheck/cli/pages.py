"""Answers that go into files besides the terminal: HTML pages and Markdown."""

import os
import tempfile
from collections.abc import Callable
from pathlib import Path

from partcheck.cli.app import Answer
from partcheck.errors import UsageError


def refuse_targets(board: Path, *targets: Path | None) -> None:
    """Refuse early what cannot be written, what would overwrite the board file, and one file for two answers."""
    wanted = [target for target in targets if target is not None]
    for target in wanted:
        if target.is_dir():
            raise UsageError(f"{target} is a folder; name the file to write in it")
        if not target.absolute().parent.is_dir():
            raise UsageError(f"there is no folder {target.absolute().parent} to write {target.name} in; make it first")
        if target.exists() and board.exists() and target.samefile(board):
            raise UsageError(f"{target} is the board file itself; name another file to write the answer in")
    if len({target.absolute() for target in wanted}) < len(wanted):
        raise UsageError(f"{wanted[0]} is named for two answers at once; name a file for each")


def with_pages(
    answer: Answer, html: Path | None, markdown: Path | None, page: Callable[[], str], log: Callable[[], str]
) -> Answer:
    """The answer, with a note for each file written."""
    notes = list(answer.notes)
    for target, make in ((html, page), (markdown, log)):
        if target is not None:
            write(target, make())
            notes.append(f"partcheck: wrote {target}")
    return answer._replace(notes=tuple(notes))


def write(target: Path, text: str) -> None:
    """Write a file whole or not at all; a device or a pipe is written to as it is."""
    try:
        if target.exists() and not target.is_file():
            target.write_text(text, encoding="utf-8")
            return
        handle, name = tempfile.mkstemp(prefix=f".{target.name[:40]}.", dir=target.absolute().parent)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as out:
                out.write(text)
            mask = os.umask(0)
            os.umask(mask)
            os.chmod(name, 0o666 & ~mask)
            os.replace(name, target)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as slip:
        raise UsageError(f"{target} cannot be written ({slip.strerror}); name a file in a folder of your own") from None
