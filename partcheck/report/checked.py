"""The board as fitted, as text."""

from typing import TYPE_CHECKING

from partcheck.jobs.check.board import Checked
from partcheck.jobs.judge.place import Judged
from partcheck.report.explained import assumed_note, board_name, notes, short
from partcheck.report.lines import columns, heading, labelled, listing, percent, verdict_word, wrap
from partcheck.report.remedied import remedy_lines
from partcheck.requirement import Verdict

if TYPE_CHECKING:
    from partcheck.jobs.remedy.remedies import Remedies


def text(checked: Checked) -> str:
    """The whole answer."""
    lines = heading(f"Board {board_name(checked)}, as fitted")
    lines += wrap(f"Policy {checked.setup.policy.name}; parts from {checked.setup.parts.where}.")
    lines += [
        "",
        f"Verdict: {verdict_word(checked.verdict)}",
        "",
        "Places",
        *columns(_rows(checked.places), right=(3,)),
    ]
    if checked.links:
        lines += ["", "Sums and copper", *columns(_rows(checked.links, False), right=(2,))]
    bad = [j for j in (*checked.places, *checked.links) if j.verdict in (Verdict.FAILS, Verdict.UNPROVEN)]
    if bad:
        lines += ["", "What does not meet"]
    for judged in bad:
        lines += trouble(judged, checked.remedies)
    assumed = sorted({note for judged in checked.places for note in assumed_note(judged)})
    if assumed:
        lines += ["", "Assumed by the policy", *listing(assumed)]
    lines += notes(checked.notes)
    lines += ["", "Cautions", *listing(checked.cautions)]
    return "\n".join(lines)


def _rows(places: tuple[Judged, ...], with_part: bool = True) -> list[list[str]]:
    rows = [["place", *(["part"] if with_part else []), "verdict", "headroom", "set by"]]
    for judged in places:
        part = [judged.part.part_number if judged.part is not None else "(unknown)"] if with_part else []
        tightest = judged.tightest
        setter = f"{tightest.id}, {short(tightest)}" if tightest is not None else ""
        rows.append([judged.ref, *part, verdict_word(judged.verdict), percent(judged.headroom), setter])
    return rows


def trouble(judged: Judged, remedies: "Remedies") -> list[str]:
    """Every failing and unproven requirement of a place, with what would help."""
    part = f", {judged.part.part_number}" if judged.part is not None else ""
    lines = [f"  {judged.ref}{part}"]
    for finding in judged.with_verdict(Verdict.FAILS):
        lines += labelled(finding.id, f"FAILS: {short(finding)}", 4, 20)
        lines += remedy_lines(finding, judged.ref, remedies, 8, 9)
    for finding in judged.with_verdict(Verdict.UNPROVEN):
        lines += labelled(finding.id, "unproven", 4, 20)
        lines += remedy_lines(finding, judged.ref, remedies, 8, 9)
    return lines
