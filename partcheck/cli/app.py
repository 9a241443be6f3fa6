"""The application, and what a command returns."""

from pathlib import Path
from typing import Annotated, NamedTuple

import typer

from partcheck.cli import completing


class Answer(NamedTuple):
    """What a command has to say: text for standard output, the exit code, notes for standard error."""

    text: str
    code: int = 0
    notes: tuple[str, ...] = ()

    def noting(self, *notes: str) -> "Answer":
        """The same answer with more notes."""
        return self._replace(notes=(*self.notes, *notes))


app = typer.Typer(
    name="partcheck",
    help="Judge parts on small low-side driver boards: stand-ins, another LED, a heavier load, limits, a plan.",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    no_args_is_help=False,
)

Board = Annotated[
    Path,
    typer.Argument(metavar="BOARD", help="Board file (TOML).", show_default=False, autocompletion=completing.boards),
]
Reference = Annotated[
    str,
    typer.Argument(
        metavar="REF",
        help="Reference of a place, such as Q3.",
        show_default=False,
        autocompletion=completing.references,
    ),
]
PartName = Annotated[
    str | None,
    typer.Argument(
        metavar="PART",
        help="Part number, or MAKER:PART; if left out, the part fitted there.",
        show_default=False,
        autocompletion=completing.parts,
    ),
]
PartsFrom = Annotated[
    list[Path] | None,
    typer.Option(
        "--parts", help="Judge parts from this file or folder (CSV, XLSX, JSON) instead of a catalog; may be repeated."
    ),
]
CatalogAt = Annotated[
    str | None,
    typer.Option("--catalog", help="Catalog file or database URL (default: PARTCHECK_CATALOG, else your own)."),
]
PolicyName = Annotated[
    str | None,
    typer.Option(
        "--policy",
        help="datasheet, bench, ecss, nasa-goddard, or a TOML file of your own.",
        autocompletion=completing.policies,
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Answer as JSON (see `partcheck schema answers`).")]
Html = Annotated[
    Path | None, typer.Option("--html", metavar="FILE", help="Also write the answer as one self-contained HTML page.")
]
Markdown = Annotated[
    Path | None, typer.Option("--markdown", metavar="FILE", help="Also write it as Markdown for a design log.")
]
NoCures = Annotated[bool, typer.Option("--no-cures", help="Do not look for cures: much faster where much fails.")]
Force = Annotated[bool, typer.Option("--force", help="Replace an existing file with the one written.")]


def _say_version(wanted: bool) -> None:
    if wanted:
        from partcheck import __version__

        print(f"partcheck {__version__}")
        raise typer.Exit(0)


@app.callback()
def partcheck(
    version: Annotated[
        bool, typer.Option("--version", help="Show the version and exit.", is_eager=True, callback=_say_version)
    ] = False,
) -> None:
    """Judge parts on small low-side driver boards: stand-ins, another LED, a heavier load, limits, a plan."""
