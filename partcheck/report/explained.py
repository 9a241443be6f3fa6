"""One part in one place in full, as text."""

from collections.abc import Iterator

from partcheck.jobs.judge.place import Judged
from partcheck.readings.explain import Finding
from partcheck.report.lines import WIDTH, listing, number
from partcheck.requirement import Verdict

ORDER = (Verdict.FAILS, Verdict.UNPROVEN, Verdict.TIGHT, Verdict.MEETS)


def in_sentence(title: str) -> str:
    """A title inside a sentence; an abbreviation keeps its capitals."""
    return title if title[:2].isupper() else title[0].lower() + title[1:]


def board_name(answer: object) -> str:
    """Name and revision of the board of an answer."""
    board = answer.setup.board_file.board  # type: ignore[attr-defined]
    return f"{board.name}, rev. {board.revision}" if board.revision else str(board.name)


def notes(found: list[str]) -> list[str]:
    """Notes on the fitted parts."""
    return ["", "Notes", *listing(found)] if found else []


def short(finding: Finding) -> str:
    """One requirement in one line: ``13.5 V against 48 V``, or what is missing."""
    if finding.verdict is Verdict.UNPROVEN:
        missing = "; ".join(finding.story.missing) or "a value"
        return f"missing: {missing}"
    worst = finding.compared[0]
    has, found, wanted = worst.capability_digits.partition(" is one of ")
    if finding.requirement.discrete and found:
        return f"it is {has}, wanted is {wanted}"
    return (
        f"{number(worst.demand, finding.requirement.unit)} against {number(worst.capability, finding.requirement.unit)}"
    )


def assumed_note(judged: Judged) -> Iterator[str]:
    """Every assumption that a part's verdict rests on, once."""
    seen: dict[str, None] = {}
    for finding in judged.findings:
        for name in finding.story.assumed:
            seen.setdefault(name)
    yield from seen


__all__ = ["WIDTH", "assumed_note", "board_name", "notes", "short"]
