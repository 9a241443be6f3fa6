"""A board as it would be with other parts fitted: the board file edited, and read again as any other."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from partcheck.board import parse_board
from partcheck.errors import UsageError
from partcheck.jobs.decisions.accept import resistor_change
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.plan.options import Option
from partcheck.jobs.plan.writing import text_with
from partcheck.jobs.swap.swap import Candidate, judge_candidate
from partcheck.parts import Part

MOST = 40
"""Places that one address may fit with other parts."""


@dataclass(frozen=True)
class Fit:
    """Another part at a place, as an address says it: ``Q2=MAKER:PART``, with ``resistor=Q2=6.8 kΩ`` beside it."""

    ref: str
    part: str
    resistor: str | None = None


def read_fits(fit: Sequence[str], resistor: Sequence[str]) -> tuple[Fit, ...]:
    """What an address fits; ``UsageError`` for what is no fit."""
    if len(fit) > MOST:
        raise UsageError(f"an address holds {MOST} places at most; save the board and go on from there")
    values = dict(map(_pair, resistor))
    made = {ref: Fit(ref, part, values.get(ref)) for ref, part in map(_pair, fit)}
    if alone := sorted(set(values) - set(made)):
        raise UsageError(f"a resistor comes with a part, and none is fitted as {alone[0]}; write the part as well")
    return tuple(made.values())


def _pair(text: str) -> tuple[str, str]:
    ref, equals, value = text.partition("=")
    if not equals or not ref.strip() or not value.strip():
        raise UsageError(f"{text!r} is not REFERENCE=PART; write it as in fit=Q2=MOBY-F60-70")
    return ref.strip(), value.strip()


def candidate_of(setup: Setup, fit: Fit) -> Candidate:
    """The part of a fit, judged in its place and with every place that it touches."""
    part = setup.part(fit.ref, fit.part)
    change = resistor_change(setup.situation, fit.ref, part, fit.resistor)
    return judge_candidate(setup, setup.situation, fit.ref, part, change, wanted=fit.resistor is not None)


def option_of(candidate: Candidate) -> Option:
    """The candidate as a change of the board file."""
    judged = candidate.judged
    pattern = " ".join(finding.id for finding in judged.footprint_changes)
    return Option(judged.ref, candidate.part, candidate.resistor, False, pattern, judged.headroom)


def text_fitted(setup: Setup, fits: Sequence[Fit], path: Path | None = None) -> str:
    """The text of the board with the fits made, one after the other, as it would stand at ``path``."""
    options = []
    for fit in fits:
        fit = Fit(setup.reference(fit.ref), fit.part, fit.resistor)
        options.append(option_of(candidate_of(setup, fit)))
    return text_with(setup, options, path or setup.board_file.path)


def with_fits(setup: Setup, fits: Sequence[Fit]) -> Setup:
    """The board with the fits made."""
    if not fits:
        return setup
    text = text_fitted(setup, fits)
    file = parse_board(text, setup.board_file.path)
    return Setup(file, setup.parts, setup.policy, asked=setup.asked, lasting=setup.lasting)


def named(part: Part) -> str:
    """A part as an address names it."""
    return f"{part.maker}:{part.part_number}" if part.maker else part.part_number
