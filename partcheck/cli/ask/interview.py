"""Asking on a terminal for what was not given as options; a script is told what is missing instead."""

import sys
from collections.abc import Mapping

import typer

from partcheck.cli.catalog.form.screen import Back, Finish, Leave, ask, say
from partcheck.errors import PartcheckError, UsageError
from partcheck.jobs.ask.ask import answered, missing
from partcheck.jobs.ask.questions import NONE, PartOf, Question, answer
from partcheck.jobs.ask.topics import AskTopic, load_of

HELP = "Enter accepts the value in [brackets], < goes back, ! takes all the rest as assumed, ? explains, . leaves."


def at_terminal() -> bool:
    """Whether somebody sits there who may be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def chosen_topic(topics: Mapping[str, AskTopic]) -> AskTopic:
    """Which kind of part it is about, asked on a terminal."""
    if not at_terminal():
        raise UsageError(f"say what it is about: partcheck ask {', '.join(topics)}; each has its own --help")
    for name, topic in topics.items():
        print(f"  {name:<10} {topic.title}")
    while True:
        typed = _line("What is it about? ").strip().casefold()
        found = [topic for name, topic in topics.items() if typed and name.startswith(typed)]
        if len(found) == 1:
            return found[0]
        say(f"Please write one of {', '.join(topics)}.")


def completed(topic: AskTopic, typed: Mapping[str, str]) -> dict[str, str]:
    """What was typed, and on a terminal what a person answers where something that is needed is missing."""
    if not missing(topic, typed) or not at_terminal():
        answered(topic, typed)
        return dict(typed)
    say(HELP)
    return _interview(topic, dict(typed))


def _interview(topic: AskTopic, given: dict[str, str]) -> dict[str, str]:
    fixed = set(given)
    answered_so_far: list[str] = []
    at, rest_assumed = 0, False
    while at < len(topic.questions):
        question = topic.questions[at]
        skip = question.name in fixed or not question.wanted(given)
        if skip or (rest_assumed and not question.needed(given)):
            at += 1
            continue
        try:
            text = _answer(question, question.needed(given), given)
        except Finish:
            rest_assumed = True
            continue
        except Back:
            if answered_so_far:
                name = answered_so_far.pop()
                given.pop(name, None)
                at = next(i for i, q in enumerate(topic.questions) if q.name == name)
            continue
        answered_so_far.append(question.name)
        if not text and question.name == "load":
            given["load"] = load_of({"inductance": "asked next"})
        if text:
            given[question.name] = text
        at += 1
    return given


def _answer(question: Question, needed: bool, given: Mapping[str, str]) -> str:
    """One answer, checked at once; empty where what is assumed is taken."""
    brackets = f" (as {question.example})" if needed else f" [{_otherwise(question, given)}]"
    while True:
        text = _line(f"{question.words}{brackets}: ").strip()
        if text == "?":
            say(question.help + ".")
        elif not text and not needed:
            return ""
        elif needed and text.casefold() in ("", *NONE):
            say(f"It is needed; write it as '{question.example}'.")
        else:
            try:
                if not isinstance(question.takes, PartOf):
                    answer(question, text)
                return text
            except PartcheckError as slip:
                say(str(slip).partition(": ")[2])


def _otherwise(question: Question, given: Mapping[str, str]) -> str:
    """What Enter takes, told as assumed where it is a value."""
    if isinstance(question.takes, PartOf):
        return question.otherwise or "none"
    if question.name == "load":
        return f"{load_of({**given, 'inductance': 'asked next'})}, assumed"
    return f"{question.otherwise}, assumed" if question.otherwise else "none"


def _line(prompt: str) -> str:
    try:
        return ask(prompt)
    except Leave:
        raise typer.Abort from None
