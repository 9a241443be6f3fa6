"""The command that begins a board by questions, or from a template."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli.app import Answer, Force
from partcheck.cli.board.beginning import PartsIn, Title, parts_named, refuse_target, written
from partcheck.cli.board.group import group

if TYPE_CHECKING:
    from partcheck.jobs.boards.dialog import BoardQuestion

HELP = (
    "Enter alone skips a question, or accepts the value in brackets. ? explains, < goes back, ! skips to the end, "
    ". (or Ctrl-D) leaves and keeps a draft, which the same command resumes."
)


@group.command(short_help="Begin a board by questions, each answer checked at once.")
def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The board file to write.")] = Path("board.toml"),
    like: Annotated[
        str | None,
        typer.Option(
            "--like",
            help="Start from mosfet-channel, npn-channel, sixteen-channel-driver or indicator-panel; asks nothing.",
        ),
    ] = None,
    name: Title = "",
    parts: PartsIn = None,
    force: Force = False,
) -> Answer:
    """Begin a board by questions, each answer checked at once: supplies, logic, channels, indicators, regulator.

    Every question may be skipped; what has to be assumed then is marked in the file.
    """
    refuse_target(file, force, [])
    if like is not None:
        return _from_template(like, file, name, parts)
    return _by_questions(file, name, parts)


def _from_template(like: str, file: Path, name: str, parts: list[Path] | None) -> Answer:
    import difflib

    from partcheck.errors import UsageError
    from partcheck.jobs.boards.templates import TEMPLATES, template

    if like not in TEMPLATES:
        close = difflib.get_close_matches(like, TEMPLATES, 1, 0.4)
        known = "; ".join(f"{known}, {words}" for known, words in TEMPLATES.items())
        raise UsageError(f"there is no template {like!r}; " + (f"did you mean {close[0]}?" if close else known))
    return written(template(like, name or file.stem, parts_named(parts, file)), file)


def _by_questions(file: Path, name: str, parts: list[Path] | None) -> Answer:
    from partcheck.cli.catalog.form.screen import Leave, say

    answers = _resumed(file)
    if name:
        answers["board.name"] = name
    if parts:
        answers["board.parts"] = parts_named(parts, file)[0]
    say(HELP)
    try:
        return _walk(file, answers)
    except Leave:
        return Answer(_left(file, answers))
    except KeyboardInterrupt:
        print(f"\n{_left(file, answers)}")
        raise


def _left(file: Path, answers: dict[str, str]) -> str:
    from partcheck.jobs.boards import board_drafts

    if not any(answers.values()):
        board_drafts.drop(file)
        return "nothing was entered"
    board_drafts.keep(file, answers)
    return f"kept as a draft, and no board is written yet; continue with:\n  partcheck board new {file}"


def _resumed(file: Path) -> dict[str, str]:
    """The answers of a draft, if there is one and it is wanted."""
    from partcheck.cli.catalog.entering import ask_plainly
    from partcheck.cli.catalog.form.screen import ask, say
    from partcheck.jobs.boards import board_drafts

    answers = board_drafts.kept(file)
    if not answers:
        return {}
    say(f"There is a draft of {file} with {len(answers)} answers.")
    answer = ask_plainly(ask, "Continue with it? [Y/n, d deletes it] ")
    while answer not in ("", "y", "yes", "n", "no", "d"):
        say("Please write y, n or d.")
        answer = ask_plainly(ask, "Continue with it? [Y/n, d deletes it] ")
    if answer in ("", "y", "yes"):
        return answers
    if answer == "d":
        board_drafts.drop(file)
    return {}


def _walk(file: Path, answers: dict[str, str]) -> Answer:
    """Ask what is not answered yet, then write."""
    from partcheck.cli.catalog.form.screen import say
    from partcheck.jobs.boards import board_drafts
    from partcheck.jobs.boards.channels import BadChannel
    from partcheck.jobs.boards.dialog import made, questions

    before, returned = "", False
    while True:
        question = next((each for each in questions(answers) if each.id not in answers), None)
        if question is not None and not _asked(file, answers, question, before):
            before = question.group
            continue
        try:
            begun = made(answers)
        except BadChannel as slip:
            say(f"There is no board yet: {slip}.")
        else:
            if _wanted(file):
                answer = written(begun, file)
                board_drafts.drop(file)
                return answer
        if question is not None:
            continue
        if returned or not _return(answers):
            return Answer(_left(file, answers))
        before, returned = "", True


def _return(answers: dict[str, str]) -> bool:
    """Go back to the question without whose answer there is no board, past empty answers alone; false if none is."""
    first = "channel.1.load" if answers.get("supply.1.voltage") else "supply.1.voltage"
    names = list(answers)
    if first not in names or any(answers[name] for name in names[names.index(first) :]):
        answers.popitem()
        return True
    for name in names[names.index(first) :]:
        del answers[name]
    return True


def _asked(file: Path, answers: dict[str, str], question: "BoardQuestion", before: str) -> bool:
    """Ask one question, or go back to the one before; true where no more shall be asked."""
    from partcheck.cli.catalog.form.screen import Back, Finish, say, say_lines
    from partcheck.jobs.boards import board_drafts
    from partcheck.jobs.boards.dialog import TITLES
    from partcheck.report.lines import heading

    if question.group != before:
        say_lines(["", *heading(TITLES[question.group])])
    try:
        answers[question.id] = answer(_of_part(_of_folder(question, file), file, answers))
    except Back:
        if answers:
            answers.popitem()
        else:
            say("This is the first question.")
    except Finish:
        return True
    else:
        board_drafts.keep(file, answers)
    return False


def _of_folder(question: "BoardQuestion", file: Path) -> "BoardQuestion":
    """The question; where it asks for part sheets, one that refuses what is not there."""
    from dataclasses import replace

    from partcheck.jobs.boards.channels import BadChannel

    def check(text: str) -> None:
        if not (file.absolute().parent / text).exists():
            raise BadChannel(f"there is no {text!r} beside {file}; name a folder or file that is there, or press Enter")

    return replace(question, check=check) if question.id == "board.parts" else question


def _of_part(question: "BoardQuestion", file: Path, answers: dict[str, str]) -> "BoardQuestion":
    """The question; where it asks for a part number, one that tells of a number that is not known."""
    from dataclasses import replace

    if not question.part:
        return question
    where = answers.get("board.parts", "")
    folder = file.absolute().parent / where if where else None

    def odd(text: str) -> str:
        from partcheck.jobs.boards.known import unknown_part

        return unknown_part(text, question.part, folder)

    return replace(question, odd=odd)


def _wanted(file: Path) -> bool:
    """Whether the board is to be written now; else the questions go on."""
    from partcheck.cli.catalog.form.screen import Back, Finish, ask

    try:
        return ask(f"Write {file}? [Y/n, n keeps asking] ").strip().casefold() not in ("n", "no")
    except Back:
        return False
    except Finish:
        return True


def answer(question: "BoardQuestion") -> str:
    """What is typed, read and checked; asked again until it can stand."""
    from partcheck.cli.catalog.form.screen import ask, say
    from partcheck.jobs.boards.channels import BadChannel

    while True:
        taken = f" [{question.otherwise}]" if question.otherwise else ""
        text = " ".join(ask(f"{question.words}{taken}: ").split())
        if text == "?":
            say(f"{question.words}; such as: {question.example}. {HELP}", "  ")
            continue
        if not text:
            return ""
        try:
            question.check(text)
        except BadChannel as slip:
            say(f"{slip}", "  ")
            continue
        why = question.odd(text)
        if not why or _agreed(why):
            return text


def _agreed(why: str) -> bool:
    """Whether something unusual is meant so."""
    from partcheck.cli.catalog.form.screen import ask, say

    say(why if why.endswith("?") else f"{why}.", "  ")
    return ask("  Is it meant so? [y/N] ").strip().casefold() in ("y", "yes")
