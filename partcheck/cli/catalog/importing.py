"""The command that enters sheets into the catalog."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli.answering import answered, screen
from partcheck.cli.app import Answer, AsJson, CatalogAt, Force, Html, Markdown
from partcheck.cli.catalog.group import group
from partcheck.cli.pages import refuse_targets

if TYPE_CHECKING:
    from collections.abc import Sequence

    from partcheck.cli.progress import ProgressLine
    from partcheck.jobs.entry.importing import Agree, Difference, Imported
    from partcheck.parts.mapping import Reading
    from partcheck.parts.sheets import Collected
    from partcheck.report.document import Document

_SHOWN = 40  # differences shown before the question


REJECTS_ASKED = "--keep-good and --rejects FILE go together: what is left out must be kept somewhere; give both"


class Decimal(StrEnum):
    """What stands between the whole part of a number and the rest."""

    POINT = "point"
    COMMA = "comma"


Merge = Annotated[bool, typer.Option("--merge", help="Change only what the sheet states; what it leaves blank stays.")]
KeepGood = Annotated[
    bool, typer.Option("--keep-good", help="Enter the good parts though others are bad (with --rejects).")
]
Rejects = Annotated[
    Path | None, typer.Option("--rejects", help="Write the rejected rows here, to be corrected and imported.")
]
Map = Annotated[
    list[str] | None,
    typer.Option(
        "--map",
        metavar="MAP",
        help="What a header means: a TOML file, or C=vds_max, 'Vds=vds_max [V]', holds=mosfet, "
        "'polarity=\"N\"'; may be repeated.",
    ),
]
SaveMap = Annotated[
    Path | None, typer.Option("--save-map", help="Write the mapping that was used, to be corrected for --map.")
]


@group.command("import", short_help="Enter parts from sheets, all or nothing.")
def import_(
    source: Annotated[
        Path,
        typer.Argument(metavar="FILE", help="CSV, XLSX or JSON file, or a folder of CSV and JSON.", show_default=False),
    ],
    catalog: CatalogAt = None,
    by: Annotated[str | None, typer.Option(metavar="NAME", help="Who enters it (default: your login name).")] = None,
    preview: Annotated[bool, typer.Option("--preview", help="Show what would change, and change nothing.")] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Change existing values without asking.")] = False,
    merge: Merge = False,
    all_: Annotated[bool, typer.Option("--all", help="Show every change before asking, however many.")] = False,
    keep_good: KeepGood = False,
    rejects: Rejects = None,
    map_: Map = None,
    save_map: SaveMap = None,
    decimal: Annotated[Decimal | None, typer.Option(help="Decimal sign of the texts in the sheets.")] = None,
    as_json: AsJson = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Enter parts from sheets into the catalog, all or nothing; a new catalog is made where there is none.

    Existing values change only after they have been shown and agreed to (--yes where nobody can be asked).
    """
    from partcheck.cli.asking import now, whoever
    from partcheck.cli.progress import ProgressLine
    from partcheck.errors import UsageError
    from partcheck.jobs.entry.filling import fill
    from partcheck.jobs.entry.importing import Ways, import_parts, read_for_import
    from partcheck.parts.sheets import Collected
    from partcheck.parts.writing import check_free

    who = whoever(by)
    if keep_good != (rejects is not None):
        raise UsageError(REJECTS_ASKED)
    typed, files = _mappings(map_ or ())
    given = [source, *files]
    refuse_targets(None, given, catalog, None, force, html, markdown)
    if save_map is not None:
        check_free(save_map, force, given)
    with ProgressLine() as line:
        reading = _reading(files, typed, source, decimal, line, merge)
        agree = _agreement(yes, line, None if all_ else _SHOWN)
        plain = not (preview or merge or keep_good or map_ or save_map or decimal)
        filled = fill(source, catalog, who, now(), agree, reading) if plain else None
        found = read_for_import(source, reading, rejects, force) if filled is None else Collected(bad=filled.bad)
        if save_map is not None:
            _save(save_map, reading)
        told = _refusal(source, found, rejects, preview, reading, as_json, html, markdown)
        if told is not None:
            return told
        ways = Ways(preview, force, merge)
        done = filled or import_parts(source, found, catalog, who, now(), agree, reading, rejects, ways)
    return _told(done, reading, _answer(done, reading.notes, as_json, html, markdown))


def _refusal(
    source: Path,
    found: "Collected",
    rejects: Path | None,
    preview: bool,
    reading: "Reading",
    as_json: bool,
    html: Path | None,
    markdown: Path | None,
) -> Answer | None:
    """Where something bad may not be left out: the report where a script reads it, else it is raised."""
    from partcheck.catalog import WriteOutcome
    from partcheck.errors import PartsError
    from partcheck.jobs.entry.importing import Imported, refuse_bad

    try:
        refuse_bad(source, found, rejects)
    except PartsError as slip:  # the report is written all the same
        slip.details = (*slip.details, *reading.notes)
        nothing = Imported(source, "", preview, WriteOutcome(0, 0, 0), bad=found.bad)
        made = _answer(nothing, reading.notes, as_json, html, markdown)
        if as_json:
            return made.noting(f"partcheck: {slip}")
        raise
    return None


def _answer(done: "Imported", notes: "list[str]", as_json: bool, html: Path | None, markdown: Path | None) -> Answer:
    """The report of an import, on this terminal and in the files asked for."""

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.importing.document import document as answer

        return answer(done, notes)

    def record() -> object:
        from partcheck.report.answers.importing.record import record

        return record(done)

    return answered(document, record, 2 if done.bad else 0, as_json=as_json, html=html, markdown=markdown)


def _told(done: "Imported", reading: "Reading", answer: Answer) -> Answer:
    """The answer with what was noticed on the way, and what looks doubtful."""
    from partcheck.report.answers.review.document import note

    doubtful = note(done.doubts)
    return answer.noting(*(f"partcheck: {said}" for said in reading.notes), *([doubtful] if doubtful else []))


def _mappings(said: "Sequence[str]") -> tuple[list[str], list[Path]]:
    """What was typed of a mapping, and the file of one."""
    from partcheck.errors import UsageError
    from partcheck.parts.typed_map import is_typed

    typed = [text for text in said if is_typed(text)]
    files = [Path(text) for text in said if text not in typed]
    if len(files) > 1:
        raise UsageError(f"--map names {files[0]} and {files[1]}; write what both say into one file")
    return typed, files


def _reading(
    files: "Sequence[Path]",
    typed: "Sequence[str]",
    source: Path,
    decimal: Decimal | None,
    line: "ProgressLine",
    merge: bool,
) -> "Reading":
    from partcheck.parts.mapping import Mapping, Reading, read_mapping
    from partcheck.parts.typed_map import add_typed

    mapping = read_mapping(files[0]) if files else Mapping()
    add_typed(mapping, typed, source)
    if decimal is not None:
        mapping.decimal_comma = decimal is Decimal.COMMA
        for said in mapping.sheets.values():
            said.decimal = ""
    return Reading(mapping, line, merge=merge)


def _save(path: Path, reading: "Reading") -> None:
    """Write the mapping that was used; one that could not be made does not hide why."""
    from partcheck.parts.mapping import mapping_text
    from partcheck.parts.writing import write_text

    if reading.used.sheets:
        write_text(path, mapping_text(reading.used))


def _agreement(yes: bool, line: "ProgressLine", most: int | None) -> "Agree":
    """What is to be done about differences: shown and asked on a terminal, refused elsewhere unless agreed before."""
    import sys

    from partcheck.errors import UsageError
    from partcheck.report.answers.importing.document import differences
    from partcheck.report.render import text

    def agree(found: "list[Difference]") -> None:
        if yes:
            return
        line.clear()
        values = "1 value" if len(found) == 1 else f"{len(found)} values"
        parts = len({(each.part.kind, *each.part.key) for each in found})
        what = f"{values} of {parts} {'part' if parts == 1 else 'parts'}"
        if not (sys.stdin.isatty() and sys.stderr.isatty()):
            raise UsageError(f"{what} in the catalog would change; look at them with --preview, then give --yes")
        changes = differences(found, len(found) if most is None else most)
        print(text.excerpt([changes] if changes is not None else [], *screen()), file=sys.stderr)
        print(f"\nChange {what} in the catalog? [y/N] ", end="", file=sys.stderr, flush=True)
        if sys.stdin.readline().strip().casefold() not in ("y", "yes"):
            raise UsageError("nothing was changed; correct the sheet, or answer y")

    return agree
