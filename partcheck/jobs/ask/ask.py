"""Ask: does this part do here, and what else would? The answers become a board, judged as any other."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, NamedTuple

from partcheck.board import BoardFile, parse_board
from partcheck.errors import BoardError, UsageError
from partcheck.inputs import is_pipe
from partcheck.jobs.ask.questions import NONE, Answer, PartOf, answer
from partcheck.jobs.ask.topics import AskTopic, load_of
from partcheck.jobs.ask.writing import Draft, board_text
from partcheck.jobs.judge.board import judge_again
from partcheck.jobs.judge.cautions import cautions
from partcheck.jobs.judge.place import Judged
from partcheck.jobs.judge.setup import Setup, setup_of
from partcheck.jobs.judge.unjudged import not_judged
from partcheck.jobs.swap.swap import Swapped, swap
from partcheck.requirement import Verdict
from partcheck.situation import Situation

if TYPE_CHECKING:
    from partcheck.jobs.remedy.remedies import Remedies

SHOWN = 5
FITTED_OR_NOT = ("diode", "gate-resistor", "pulldown", "base-emitter-resistor")
"""Parts whose absence is worth telling, as a person may have forgotten them."""
NAME = Path("the question")
"""What the board is called in a message, as it lies in no file."""


@dataclass(frozen=True)
class Supposed:
    """Something that was not stated: the option that states it, what was taken, and what it is."""

    option: str
    value: str
    why: str


class Enough(NamedTuple):
    """An option that was not stated, the first usual value of it with which a requirement meets, and that."""

    option: str
    value: str
    requirement: str
    taken: str
    """What was taken instead."""


USUAL: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "gate-peak": ("gate-resistor", ("100 Ω", "150 Ω", "220 Ω", "330 Ω", "470 Ω", "680 Ω", "1 kΩ", "1.5 kΩ", "2.2 kΩ")),
    "resistor-power": ("resistor-power", ("0.25 W", "0.5 W", "1 W", "2 W", "3 W", "5 W")),
}
"""By requirement: the option that a person mostly leaves out, and values that are usual for it."""


@dataclass(frozen=True)
class Asked:
    """A question answered: the board that was written for it, the part judged, and what else would do."""

    topic: AskTopic
    answers: Mapping[str, Answer]
    setup: Setup
    situation: Situation
    """As asked about; with the best stand-in where no part was named."""
    places: tuple[Judged, ...]
    """The part asked about (where one is named) and what stands beside it."""
    swapped: Swapped
    supposed: tuple[Supposed, ...]
    named: bool
    """True where a part was named."""
    typed: Mapping[str, str] = field(default_factory=dict)
    """What was stated, by option."""

    @property
    def part(self) -> Judged | None:
        """The part asked about, judged; None where none is named."""
        return self.places[0] if self.named else None

    @property
    def beside(self) -> tuple[Judged, ...]:
        """What stands beside the part and is judged with it."""
        return self.places[1:] if self.named else self.places

    @property
    def verdict(self) -> Verdict:
        """The worst of what was asked about; where no part was named, that of the best stand-in and what is beside."""
        worst = [judged.verdict for judged in self.places]
        return min(worst if self.named else [*worst, self.swapped.verdict])

    @property
    def cautions(self) -> tuple[str, ...]:
        """The cautions that apply."""
        judged = self.places or (self.swapped.fitted,)
        return tuple(dict.fromkeys([*cautions(self.situation, list(judged)), *self.swapped.cautions]))

    @property
    def not_judged(self) -> tuple[str, ...]:
        """What a reviewer would ask and is not judged here."""
        return not_judged(self.situation.board)

    @property
    def notes(self) -> list[str]:
        """What the reader should know about the parts; that none was named is known."""
        return [note for note in self.setup.notes if "has no part fitted" not in note]

    @cached_property
    def enough(self) -> tuple[Enough, ...]:
        """What would do of values that were not stated, where it fails for them; worked out when asked for."""
        return tuple(_enough(self))

    @cached_property
    def remedies(self) -> "Remedies":
        """What would help where it does not do; worked out when asked for."""
        from partcheck.jobs.remedy.remedies import remedies

        return remedies(self.situation, list(self.places))


def answered(topic: AskTopic, typed: Mapping[str, str]) -> dict[str, Answer]:
    """Every question answered with what was typed or is assumed; ``UsageError`` names the options that are missing."""
    for question in topic.questions:  # a value that cannot stand comes before what is not stated at all
        if question.name in typed:
            answer(question, typed[question.name])
    lacking = missing(topic, typed)
    if lacking:
        raise UsageError(f"partcheck ask {topic.name} needs {' and '.join(lacking)} as well")
    made: dict[str, Answer] = {}
    for question in topic.questions:
        if question.name in typed:
            if not question.wanted(typed) and typed[question.name].casefold() not in NONE:
                raise UsageError(_unwanted(topic, question.name, typed))
            made[question.name] = answer(question, typed[question.name])
        elif question.otherwise and question.wanted(typed) and not isinstance(question.takes, PartOf):
            made[question.name] = Answer(question, question.otherwise, question.words[:1].lower() + question.words[1:])
    return made


def missing(topic: AskTopic, typed: Mapping[str, str]) -> list[str]:
    """What has to be stated and is not: the options as typed, each with an example."""
    return [
        f"{question.option} '{question.example}'" + (f" (or {question.instead})" if question.instead else "")
        for question in topic.questions
        if question.wanted(typed) and question.needed(typed) and typed.get(question.name, NONE[0]).casefold() in NONE
    ]


def _unwanted(topic: AskTopic, name: str, typed: Mapping[str, str]) -> str:
    option = topic.question(name).option
    if name in ("diode", "tvs"):
        return "--diode and --tvs are two ways to clamp one load; give one of them"
    if name == "current":
        return "--current and --resistance state the same load; give one of them"
    if name == "duty":
        return "--duty needs --frequency as well"
    if name == "rate":
        return "--rate and --frequency state how often it switches; give one of them"
    if name == "drive":
        return "--voltage and --drive are two ways to feed an LED; give one of them"
    if name == "undriven":
        return "--undriven is asked where no resistor holds the switch off; leave it out"
    if topic.name == "led":
        return f"{option} belongs to an LED that an output feeds; leave out --voltage, and give --drive"
    if name == "output-esr":
        return "--output-esr needs --output-capacitor as well"
    return f"{option} does not belong to a {load_of(typed)}; leave it out, or state another --load"


def ask(
    topic: AskTopic,
    typed: Mapping[str, str],
    parts: Sequence[Path] = (),
    catalog: str | None = None,
    policy: str | None = None,
    most: int = SHOWN,
) -> Asked:
    """Judge what was asked and look for what else would do."""
    answers = answered(topic, typed)
    board, draft = write_board(topic, answers, typed, [path.absolute() for path in parts], _absolute(policy))
    setup = setup_of(board, parts, catalog, policy)
    for name in draft.fitted:
        ref = next(path[1] for path, question in draft.keys.items() if question == name and path[-1] == "fitted")
        try:
            setup.part(str(ref), draft.fitted[name])
        except UsageError as slip:
            raise UsageError(f"{topic.question(name).option}: {slip}", slip.details) from None
    found = swap(setup, topic.ref, most)
    named = "part" in draft.fitted
    situation = setup.situation
    if not named and found.candidates and found.candidates[0].situation is not None:
        situation = found.candidates[0].situation
    known = {*situation.board.role, *(name for name, _, _ in situation.links())}
    beside = topic.beside if named or found.candidates else ()
    refs = [*([topic.ref] if named else []), *(ref for ref in beside if ref in known)]
    places = tuple(judge_again(situation, ref) for ref in refs)
    supposed = tuple(_supposed(topic, answers, draft, typed))
    return Asked(topic, answers, setup, situation, places, found, supposed, named, dict(typed))


def _enough(asked: Asked) -> Iterator[Enough]:
    """Of each requirement that fails for want of an option: the first usual value of that with which it meets."""
    for finding in asked.part.with_verdict(Verdict.FAILS) if asked.part is not None else ():
        name, values = USUAL.get(finding.id, ("", ()))
        if not name or name in asked.typed:
            continue
        given = asked.setup.asked
        for value in values:
            typed = {**asked.typed, name: value}
            policy = _absolute(given.policy)
            board, _ = write_board(asked.topic, answered(asked.topic, typed), typed, [*given.parts], policy)
            judged = judge_again(setup_of(board, given.parts, given.catalog, given.policy).situation, asked.topic.ref)
            if any(made.id == finding.id and made.verdict >= Verdict.TIGHT for made in judged.findings):
                taken = asked.answers[name].text if name in asked.answers else "none"
                yield Enough(f"--{name}", value, finding.id, taken)
                break


def _absolute(policy: str | None) -> str:
    """A policy as the board states it: by its name, or where its file is."""
    if policy is None or is_pipe(Path(policy)):
        return ""
    return Path(policy).absolute().as_posix() if policy.endswith(".toml") else policy


def write_board(
    topic: AskTopic,
    answers: Mapping[str, Answer],
    typed: Mapping[str, str],
    parts: Sequence[PurePath],
    policy: str = "",
) -> tuple[BoardFile, Draft]:
    """The board of a question, read by the usual reader; what it refuses is told by the option that was typed."""
    fitted = {name: a.text for name, a in answers.items() if isinstance(a.question.takes, PartOf) and a.text}
    draft = Draft(answers, load_of(typed), fitted)
    topic.write(draft)
    title = f"{fitted['part']}: {topic.title}" if fitted.get("part") else topic.title
    text = board_text(draft, title, list(parts), policy)
    try:
        return parse_board(text, NAME), draft
    except BoardError as slip:
        told = [f"{_option(topic, draft, path)}: {message}" for path, message in slip.slips]
        if not told:
            raise
        raise UsageError("; ".join(dict.fromkeys(told))) from None


def _option(topic: AskTopic, draft: Draft, path: tuple[str | int, ...]) -> str:
    """The option that stated the key at a path, or its nearest."""
    while path and path not in draft.keys:
        path = path[:-1]
    name = draft.keys.get(path, "")
    return topic.question(name).option if name else "what was stated together"


def _supposed(
    topic: AskTopic, answers: Mapping[str, Answer], draft: Draft, typed: Mapping[str, str]
) -> "list[Supposed]":
    made = []
    if any(question.name == "load" for question in topic.questions) and not typed.get("load"):
        made.append(Supposed("--load", draft.load, "what it switches, by what else was stated"))
    written = set(draft.keys.values())
    for name, given in answers.items():
        if given.assumed and name in written:
            made.append(Supposed(given.question.option, given.text, given.assumed))
    made += [Supposed(*item) for item in draft.derived]
    for question in topic.questions:
        absent = not answers.get(question.name) or not answers[question.name].text
        if absent and question.name in FITTED_OR_NOT and question.wanted(typed):
            made.append(Supposed(question.option, "none", question.words[:1].lower() + question.words[1:]))
    return made


def text_to_keep(asked: Asked, target: Path) -> str:
    """The text of the board for a file: where it names files, they are named from that file's folder."""
    import os

    text = asked.setup.board_file.text
    policy = asked.setup.board_file.board.policy
    for path in (*asked.setup.asked.parts, *([Path(policy)] if policy.endswith(".toml") else [])):
        folder = target.absolute().parent
        try:
            near = PurePath(os.path.relpath(path.absolute(), folder)).as_posix()
        except ValueError:  # another drive
            continue
        text = text.replace(_quoted(path.absolute().as_posix()), _quoted(near), 1)
    return text


def _quoted(text: str) -> str:
    from partcheck.jobs.ask.writing import quoted

    return quoted(text)


__all__ = ["NONE", "Asked", "Enough", "Supposed", "answered", "ask", "missing", "text_to_keep", "write_board"]
