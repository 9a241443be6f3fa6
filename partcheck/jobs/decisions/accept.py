"""Accept: judge a substitution and write it down with everything that the result rested on.

The story: judge the part in its place, with the resistor that comes with it and every place that it touches; refuse
what fails unless that is meant; keep board, parts, policy and findings as they are now (``snapshots.py``), so that
``standing.py`` can tell later whether the result still stands.
"""

import getpass
import json
import math
import os
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from partcheck import __version__
from partcheck.board import ROLE_KINDS
from partcheck.errors import UsageError, ValueSlip
from partcheck.inputs import is_pipe
from partcheck.jobs.decisions.snapshots import board_content, board_written, part_values, plain, policy_values
from partcheck.jobs.judge.cautions import cautions
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.judge.unjudged import around, not_judged
from partcheck.jobs.screen.resistors import ResistorChange, beside, with_resistor
from partcheck.jobs.swap.swap import Candidate, judge_candidate
from partcheck.parts import Part
from partcheck.readings.explain import Finding
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle_after
from partcheck.units import json_unit, parse, show, to_json

if TYPE_CHECKING:
    from partcheck.catalog import Accepted, Catalog

LEAST_RESISTANCE, MOST_RESISTANCE = 1e-3, 1e8
"""What a board file may state for a resistor, Ω."""


@dataclass(frozen=True)
class Decided:
    """A substitution that was accepted: as judged, and as written down."""

    setup: Setup
    ref: str
    candidate: Candidate
    row: "Accepted"
    where: str
    made_catalog: bool
    cautions: tuple[str, ...]

    @property
    def not_judged(self) -> tuple[str, ...]:
        """What a reviewer would ask and is not judged here."""
        board = self.setup.board_file.board
        return not_judged(board, around(board, self.ref))


def accept(
    setup: Setup,
    ref: str,
    part: Part,
    *,
    resistor: str | float | None = None,
    by: str = "",
    note: str = "",
    although_it_fails: bool = False,
) -> Decided:
    """Judge ``part`` at ``ref`` and write it down in the catalog that was asked for."""
    if is_pipe(setup.board_file.path):
        raise UsageError("what is accepted is watched by its board file, and this board is piped in; save and name it")
    who = _sayable(by if by.strip() else _login(), "--by")
    _sayable(note, "--note")
    situation = setup.situation
    fitted = setup.board_file.board.role[ref].fitted
    own = situation.fitted.get(ref)
    if resistor is None and own is not None and own.key == part.key:
        raise UsageError(f"{part.name} is already fitted as {ref}; name another part, or give --resistor VALUE")
    change = resistor_change(situation, ref, part, resistor)
    candidate = judge_candidate(setup, situation, ref, part, change, wanted=resistor is not None)
    if candidate.verdict is Verdict.FAILS and although_it_fails and not note.strip():
        raise UsageError(f"{part.name} fails at {ref} ({_failing(candidate)}); say in --note why it is accepted")
    if candidate.verdict is Verdict.FAILS and not although_it_fails:
        raise UsageError(
            f"{part.name} fails at {ref} ({_failing(candidate)}); to accept it all the same, give --although-it-fails "
            "and say why in --note"
        )
    after = settled(situation, ref, candidate)
    cautious = tuple(cautions(after, [candidate.judged]))
    board = setup.board_file.board
    row = {
        "board": board.name,
        "revision": board.revision,
        "reference": ref,
        "role": board.role[ref].role,
        "kind": ROLE_KINDS[board.role[ref].role],
        "fitted": fitted.part_number if fitted is not None else "",
        "part_number": part.part_number,
        "maker": part.maker,
        "policy": setup.policy.name,
        "verdict": candidate.verdict.word,
        "version": __version__,
        "accepted_by": who,
        "accepted_at": datetime.now().astimezone().isoformat(timespec="seconds"),
        "note": note,
        "basis": json.dumps(_basis(setup, situation, ref, candidate), allow_nan=False),
        "result": json.dumps(_result(candidate, cautious), allow_nan=False),
    }
    catalog, made = open_decisions(setup.asked.catalog)
    with catalog:
        written = catalog.accepted(catalog.accept(row))[0]
        return Decided(setup, ref, candidate, written, catalog.where, made, cautious)


def open_decisions(where: str | None) -> tuple["Catalog", bool]:
    """The catalog that decisions are written down in; the user's own is made where there is none yet (True)."""
    from partcheck.catalog import open_catalog
    from partcheck.catalog.place import find_place

    place = find_place(where)
    made = place.own and place.path is not None and not place.path.exists()
    return open_catalog(where, create=place.own), made


def settled(situation: Situation, ref: str, candidate: Candidate) -> Situation:
    """The board with the candidate in its place, and with the resistor that comes with it."""
    board = with_resistor(situation.board, ref, candidate.resistor) if candidate.resistor is not None else None
    return settle_after(situation, situation.replaced(ref, candidate.part, board), ref)


def _login() -> str:
    try:
        return getpass.getuser()
    except (KeyError, OSError, ImportError):
        raise UsageError("your login name is not known; say who accepts it with --by NAME") from None


def _sayable(text: str, option: str) -> str:
    """The text, if it is one that every database can keep."""
    if "\0" in text or any(0xD800 <= ord(c) <= 0xDFFF for c in text):
        raise UsageError(f"the text of {option} has characters that are not text; write it in UTF-8")
    return text


def resistor_change(
    situation: Situation, ref: str, part: Part, resistor: str | float | None = None
) -> ResistorChange | None:
    """The resistor that comes with a part: the one asked for, else the one that a swap proposes; None for none."""
    return _proposed(situation, ref, part) if resistor is None else _wanted(situation, ref, resistor)


def _proposed(situation: Situation, ref: str, part: Part) -> ResistorChange | None:
    if beside(situation.board, ref) is None:
        return None
    from partcheck.jobs.screen.cures import proposed_resistor

    return proposed_resistor(situation, ref, part)


def _wanted(situation: Situation, ref: str, text: str | float) -> ResistorChange | None:
    found = beside(situation.board, ref)
    if found is None:
        raise UsageError(f"{ref} has no resistor beside it that could change; leave --resistor out")
    key, span = found
    try:
        value = parse(text, "Ω")
    except ValueSlip as slip:
        raise UsageError(f"--resistor: {slip}") from None
    if not LEAST_RESISTANCE <= value <= MOST_RESISTANCE:
        raise UsageError(f"--resistor {text} is out of range; allowed is 1 mΩ to 100 MΩ")
    return None if math.isclose(value, span.typ, rel_tol=1e-9) else ResistorChange(key, span, value)


def _failing(candidate: Candidate) -> str:
    own = [f.id for f in candidate.judged.with_verdict(Verdict.FAILS)]
    others = [f"{w.ref} {w.finding.id}" for w in candidate.worsened if w.after is Verdict.FAILS]
    return ", ".join([*own, *others])


def _basis(setup: Setup, situation: Situation, ref: str, candidate: Candidate) -> dict[str, Any]:
    """Everything that the result rested on, and where to look whether it still is so."""
    board_file, asked = setup.board_file, setup.asked
    written = board_written(board_file)
    role = dict(board_content(board_file.board)["role"][ref])
    written_after: dict[str, Any] = {}
    if candidate.resistor is not None:
        changed = with_resistor(board_file.board, ref, candidate.resistor)
        role = dict(board_content(changed)["role"][ref])
        tolerance = f"±{board_file.board.replacement_resistor.tolerance * 100:g} %"
        written_after[candidate.resistor.key] = f"{show(candidate.resistor.value, 'Ω')} {tolerance}"
    part = candidate.part
    role["fitted"] = {"part_number": part.part_number, "maker": part.maker}
    policy = asked.policy
    own_policy = policy is not None and policy.endswith(".toml")
    fitted = situation.fitted.get(ref)
    return {
        "path": str(board_file.path),
        "file": os.path.abspath(board_file.path),
        "board": board_content(board_file.board),
        "written": written,
        "role_after": role,
        "written_after": written_after,
        "parts": [os.path.abspath(source) for source in asked.parts],
        "parts_from": setup.parts.where,
        "catalog": asked.catalog is not None or setup.parts.catalog is not None,
        "policy": os.path.abspath(policy) if policy is not None and own_policy else policy,
        "policy_values": policy_values(setup.policy),
        "part": part_values(part),
        "fitted": part_values(fitted) if fitted is not None else None,
        "neighbours": {
            other: part_values(neighbour) if neighbour is not None else None
            for other, neighbour in situation.fitted.items()
            if other in _touched(situation, ref)
        },
    }


def _touched(situation: Situation, ref: str) -> set[str]:
    """The other places whose parts the result rests on: those beside it, and what these rest on."""
    roles = situation.board.role
    if situation.board.surroundings.enclosure_theta is not None:
        return set(roles) - {ref}
    near = {other for other in roles if ref in situation.rests_on(other)} | situation.rests_on(ref)
    return (near | {far for other in near for far in situation.rests_on(other)}) - {ref}


def _result(candidate: Candidate, cautious: tuple[str, ...]) -> dict[str, Any]:
    """What was found."""
    judged, change = candidate.judged, candidate.resistor
    return {
        "headroom": _number(judged.headroom),
        "set_by": judged.tightest.id if judged.tightest is not None else None,
        "verdict_as_drawn": candidate.drawn.verdict.word,
        "changes": list(candidate.changes),
        "resistor": {"key": change.key, "before": change.before.typ, "value": change.value} if change else None,
        "worsened": [
            {"reference": w.ref, "requirement": w.finding.id, "before": w.before.word, "after": w.after.word}
            for w in candidate.worsened
        ],
        "requirements": [_requirement(finding) for finding in judged.findings],
        "cautions": list(cautious),
    }


def _requirement(finding: Finding) -> dict[str, Any]:
    worst, unit = finding.compared[0], finding.requirement.unit
    return {
        "id": finding.id,
        "verdict": finding.verdict.word,
        "demand": to_json(worst.demand, unit),
        "capability": to_json(worst.capability, unit),
        "headroom": _number(finding.headroom),
        "unit": json_unit(unit),
        "counts": finding.counts,
        "missing": list(finding.story.missing) if finding.verdict is Verdict.UNPROVEN else [],
        "assumed": list(finding.story.assumed),
        "values": [
            {
                "name": origin.name,
                "value": to_json(origin.value, origin.unit) if isinstance(origin.value, float) else plain(origin.value),
                "unit": json_unit(origin.unit),
                "source": origin.source,
                "of": "part" if origin.from_part else "board",
            }
            for origin in finding.story.origins
        ],
    }


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None
