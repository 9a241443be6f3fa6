"""The questions of a board as one growing form: what was typed is checked, and what follows from it is asked next."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from partcheck.jobs.boards.channels import BadChannel
from partcheck.jobs.boards.dialog import BoardQuestion, made, questions
from partcheck.jobs.boards.start import Begun

AGAIN = "again-"
_NUMBERED = re.compile(r"(supply|channel|lamp)\.(\d{1,4})\.(.+)")
_FIRST = {"supply": "voltage", "channel": "load", "lamp": "resistor"}
"""What makes an entry of each list: without it the entry is left out."""


@dataclass(frozen=True)
class AskedField:
    """A question with what was typed, and what is wrong with it."""

    question: BoardQuestion
    text: str
    slip: str = ""


@dataclass
class Answered:
    """The questions so far, the answers that can stand, and the board they make; ``refused`` says why there is none."""

    fields: list[AskedField]
    answers: dict[str, str]
    begun: Begun | None = None
    refused: str = ""

    @property
    def slips(self) -> dict[str, str]:
        """What is wrong, by question."""
        return {field.question.id: field.slip for field in self.fields if field.slip}


def answered(typed: Mapping[str, str]) -> Answered:
    """The form as far as it goes. What a channel lacks is told at its question, once that was shown."""
    typed = closed_up(typed)
    answers: dict[str, str] = {}
    fields: dict[str, AskedField] = {}
    for question in questions(answers):
        text = " ".join(typed.get(question.id, "").split())
        plain = question.id.replace(AGAIN, "")
        if plain != question.id:
            _lacking(fields, plain, question, typed)
            answers[question.id] = ""
            continue
        slip = ""
        try:
            if text:
                question.check(text)
        except BadChannel as wrong:
            slip = str(wrong)
        fields[question.id] = AskedField(question, text, slip)
        answers[question.id] = "" if slip else text
    found = Answered(list(fields.values()), answers)
    if found.slips:
        found.refused = "what is marked above is not accepted yet"
        return found
    try:
        found.begun = made(answers)
    except BadChannel as wrong:
        found.refused = str(wrong)
    return found


def _lacking(fields: dict[str, AskedField], plain: str, question: BoardQuestion, typed: Mapping[str, str]) -> None:
    """Tell at its question what a channel lacks; one that was not asked before is asked now."""
    former = fields.get(plain)
    if former is None:
        fields[plain] = AskedField(BoardQuestion(plain, question.words, question.example), typed.get(plain, ""))
    elif not former.slip and plain in typed:
        fields[plain] = AskedField(former.question, former.text, question.words)


def closed_up(typed: Mapping[str, str]) -> dict[str, str]:
    """The same without entries that were emptied; those behind them move up."""
    made_up = {id_: text for id_, text in typed.items() if not _NUMBERED.fullmatch(id_)}
    entries: dict[str, dict[int, dict[str, str]]] = {}
    for id_, text in typed.items():
        if found := _NUMBERED.fullmatch(id_):
            entries.setdefault(found[1], {}).setdefault(int(found[2]), {})[found[3]] = text
    for table, listed in entries.items():
        kept = [entry for _, entry in sorted(listed.items()) if entry.get(_FIRST[table], "").strip()]
        for i, entry in enumerate(kept, 1):
            made_up |= {f"{table}.{i}.{key}": text for key, text in entry.items()}
    return made_up
