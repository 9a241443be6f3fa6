"""``partcheck ask mosfet ...``: one command for each topic, its options made from the questions of that topic."""

import inspect
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from partcheck.cli.answering import answered
from partcheck.cli.app import Answer, AsJson, CatalogAt, Force, Html, Markdown, PartsFrom, PolicyName
from partcheck.jobs.ask.questions import Question
from partcheck.jobs.ask.topics import AskTopic

if TYPE_CHECKING:
    from partcheck.report.document import Document

Write = Annotated[
    Path | None,
    typer.Option("--write", metavar="FILE", help="Leave the board that was judged as a commented board file."),
]
Most = Annotated[int, typer.Option(help="How many parts that would do to show.", min=1, max=1000)]
ENDING = """Units as typed: '24 Ω', 60mH, 1k5. Whatever is left out is assumed where that is usual, and reported.
On a terminal you are asked for what is missing. Exits with 0 if it will do (meets or is tight), 1 if it fails,
3 if it is not proved; without PART it looks for what would do."""


def run(
    topic: AskTopic,
    typed: dict[str, str],
    parts: list[Path],
    catalog: str | None,
    policy: str | None,
    most: int,
    as_json: bool,
    html: Path | None,
    markdown: Path | None,
    write: Path | None,
    force: bool,
) -> Answer:
    """Answer what was typed, after asking on a terminal for what is missing."""
    from partcheck.cli.ask.interview import completed
    from partcheck.cli.codes import exit_code
    from partcheck.cli.pages import refuse_to_write
    from partcheck.jobs.ask.ask import ask, text_to_keep
    from partcheck.outputs import write_text

    reading = [*parts, *(Path(name) for name in (catalog, policy) if name and "://" not in name)]
    refuse_to_write(force, reading, html, markdown, write)
    found = ask(topic, completed(topic, typed), parts, catalog, policy, most)

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.ask import document as answer

        return answer.document(found, pictures)

    def record() -> object:
        from partcheck.report.answers.ask.record import record

        return record(found)

    made = answered(document, record, exit_code(found.verdict), as_json=as_json, html=html, markdown=markdown)
    if write is None:
        return made
    write_text(write, text_to_keep(found, write))
    with_what = f"; its parts are in a catalog: give --catalog {catalog} with it" if catalog else ""
    return made._replace(notes=(*made.notes, f"partcheck: wrote {write}{with_what}"))


def _parameter(question: Question) -> tuple[inspect.Parameter, Any]:
    if question.name == "part":
        declared: Any = typer.Argument(metavar="PART", help=f"{question.words}.", show_default=False)
    else:
        declared = typer.Option(f"--{question.name}", metavar="VALUE", help=f"{question.help}.", show_default=False)
    note = Annotated[str | None, declared]
    name = question.name.replace("-", "_")
    return inspect.Parameter(name, inspect.Parameter.POSITIONAL_OR_KEYWORD, default=None, annotation=note), note


COMMON: dict[str, tuple[Any, Any]] = {
    "parts": (PartsFrom, None),
    "catalog": (CatalogAt, None),
    "policy": (PolicyName, None),
    "most": (Most, 5),
    "as_json": (AsJson, False),
    "html": (Html, None),
    "markdown": (Markdown, None),
    "write": (Write, None),
    "force": (Force, False),
}


def _command(topic: AskTopic) -> Callable[..., Answer]:
    def command(**given: Any) -> Answer:
        common = {name: given.pop(name) for name in COMMON}
        typed = {name.replace("_", "-"): text for name, text in given.items() if text is not None}
        return run(topic, typed, common.pop("parts") or [], **common)

    parameters, notes = [], {"return": Answer}
    for question in topic.questions:
        made, note = _parameter(question)
        parameters.append(made)
        notes[made.name] = note
    for name, (note, default) in COMMON.items():
        parameters.append(
            inspect.Parameter(name, inspect.Parameter.POSITIONAL_OR_KEYWORD, default=default, annotation=note)
        )
        notes[name] = note
    command.__name__ = topic.name
    command.__doc__ = f"Ask about {topic.title}.\n\n{ENDING}"
    command.__annotations__ = notes
    command.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    return command


def command_of(topic: AskTopic) -> Any:
    """The command of a topic, as the group of them hands it out."""
    made = typer.Typer(rich_markup_mode=None, add_completion=False)
    made.command(topic.name)(_command(topic))
    return typer.main.get_command(made)
