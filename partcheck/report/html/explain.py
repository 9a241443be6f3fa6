"""The page of an explanation: one part in one place."""

from datetime import date

from partcheck.jobs.check.part import Explained
from partcheck.report.explained import in_sentence, summary
from partcheck.report.html.page import render, worst_first
from partcheck.report.html.pictures import headroom, schematic
from partcheck.report.html.pictures.behaviour import behaviour
from partcheck.requirement import Verdict


def page(explained: Explained, made_on: date | None = None) -> str:
    """The whole page."""
    judged = explained.judged
    found = worst_first(judged.findings)
    name = judged.part.name if judged.part is not None else "no part"
    return render(
        "explain.html", explained.setup, f"{name} as {judged.ref}", made_on,
        job="explain", judged=judged, part=name, role_title=in_sentence(judged.role.title), found=found,
        summary=summary(judged).partition("; ")[2],
        remedies=explained.remedies if judged.verdict < Verdict.TIGHT else None,
        place_pictures=[schematic.drawn(explained.situation, judged)],
        bars=headroom.bars(f"{name} as {judged.ref}", judged.findings),
        pictures=behaviour(explained.situation, judged), notes=explained.setup.notes, cautions=explained.cautions,
    )  # fmt: skip
