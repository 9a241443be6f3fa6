"""The page of a check: the board as fitted, role by role, sums included."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from partcheck.jobs.check.board import Checked
from partcheck.jobs.judge.place import Judged
from partcheck.report.explained import assumed_note, board_name
from partcheck.report.html.page import render
from partcheck.report.html.pictures import schematic
from partcheck.report.html.pictures.behaviour import behaviour
from partcheck.report.html.pictures.board import overview
from partcheck.requirement import Verdict


def page(checked: Checked, made_on: date | None = None) -> str:
    """The whole page."""
    everything = (*checked.places, *checked.links)
    bad = [judged for judged in everything if judged.verdict < Verdict.TIGHT]
    return render(
        "check.html", checked.setup, f"Board {board_name(checked)}, as fitted", made_on,
        job="check", verdict=checked.verdict, places=checked.places, links=checked.links, bad=bad,
        remedies=checked.remedies if bad else None, board_picture=overview(everything),
        assumed=sorted({note for judged in checked.places for note in assumed_note(judged)}),
        groups=_groups(checked), notes=checked.notes, cautions=checked.cautions,
    )  # fmt: skip


def _groups(checked: Checked) -> list[dict[str, Any]]:
    """Places and links by role, in the order of the board file, with the pictures of each."""
    made: dict[str, list[tuple[Judged, Sequence[Any]]]] = {}
    for judged in (*checked.places, *checked.links):
        pictures = [schematic.drawn(checked.situation, judged), *behaviour(checked.situation, judged)]
        made.setdefault(judged.role.title, []).append((judged, [p for p in pictures if p is not None]))
    return [{"title": title, "places": places} for title, places in made.items()]
