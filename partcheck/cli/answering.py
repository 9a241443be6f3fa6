"""How an answer leaves a command: as text on this terminal, as JSON or CSV, and into the files asked for."""

import os
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from partcheck.cli.app import Answer
from partcheck.cli.pages import with_pages

if TYPE_CHECKING:
    from partcheck.report.document import Document

PIPED = 80
"""Columns of an answer that nobody looks at in a terminal."""


def screen() -> tuple[int, bool]:
    """Columns of this terminal, and whether verdicts are coloured: never where it is piped or ``NO_COLOR`` is set."""
    if not sys.stdout.isatty():
        return PIPED, False
    plain = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
    return shutil.get_terminal_size((PIPED, 24)).columns, not plain


def answered(
    document: "Callable[[bool], Document]",
    record: Callable[[], Any],
    code: int,
    *,
    as_json: bool = False,
    as_csv: Callable[[], str] | None = None,
    html: Path | None = None,
    markdown: Path | None = None,
) -> Answer:
    """The answer of a command.

    ``document(pictures)`` describes it for a person, ``record()`` for a script (a record, or JSON text as it is);
    ``as_csv`` writes its table where that is asked for.
    """

    def page() -> str:
        from partcheck.report.render import html as render

        return render.render(document(True))

    def log() -> str:
        from partcheck.report.render import markdown as render

        return render.render(document(False))

    def text() -> str:
        if as_json:
            from partcheck.report.record import to_text

            made = record()
            return made if isinstance(made, str) else to_text(made)
        if as_csv is not None:
            return as_csv()
        from partcheck.report.render import text as render

        return render.render(document(False), *screen())

    from partcheck.stages import during

    with during("writing the answer"):
        return with_pages(Answer(text(), code), html, markdown, page, log)
