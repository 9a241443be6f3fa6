"""The page of a plan: the changes, each with what would not meet without it, and the board before and after."""

from datetime import date
from typing import Any

from partcheck.jobs.plan.plan import Planned, Step
from partcheck.jobs.plan.search import Blocked
from partcheck.report.explained import assumed_note, board_name, short
from partcheck.report.html.page import data, render
from partcheck.report.html.pictures import schematic
from partcheck.report.html.pictures.board import overview
from partcheck.report.planned import change_words, total_price, verdict_words
from partcheck.requirement import Verdict


def page(planned: Planned, made_on: date | None = None) -> str:
    """The whole page."""
    return render(
        "plan.html", planned.setup, f"Plan for {board_name(planned)}", made_on,
        job="plan", planned=planned, said=verdict_words(planned),
        failing=[
            (judged, [f for f in judged.findings if f.counts and f.verdict < Verdict.TIGHT])
            for judged in planned.before if judged.verdict < Verdict.TIGHT
        ],
        steps=[_step(planned, step) for step in planned.steps], total=total_price(planned),
        board_picture=overview(planned.after, planned.before, "The planned board")
        if planned.steps else overview(planned.after),
        places=[judged for judged in planned.after if judged.ref in planned.board.role],
        links=[judged for judged in planned.after if judged.ref not in planned.board.role],
        blocked=[_blocked(made) for made in planned.found.blocked], nearest=_nearest(planned),
        assumed=sorted({note for judged in planned.after for note in assumed_note(judged)}),
        notes=planned.setup.notes, cautions=planned.cautions,
    )  # fmt: skip


def _step(planned: Planned, step: Step) -> dict[str, Any]:
    part = step.option.part
    quantity = part.number("quantity") if part is not None else float("nan")
    return {
        "step": step, "words": change_words(step), "picture": schematic.drawn(planned.situation, step.judged),
        "price": data(part.number("price"), "") if part is not None else "-",
        "currency": part.word("currency") if part is not None else "",
        "hand": data(quantity, "", f"{quantity:.0f}" if quantity == quantity else "-"),
    }  # fmt: skip


def _blocked(made: Blocked) -> dict[str, Any]:
    if made.compared:
        words = f"none of {made.compared} usable parts is proven to serve"
    else:
        words = "no catalog part is in this link, and it does not meet"
    near = ", ".join(made.nearest.words()) if made.nearest is not None else ""
    return {"ref": made.ref, "words": words, "near": near, "judged": made.judged, "findings": list(made.findings)}


def _nearest(planned: Planned) -> dict[str, Any] | None:
    if planned.found.nearest is None or planned.found.blocked or planned.found.options is not None:
        return None
    options, bad = planned.found.nearest
    return {
        "changes": "; ".join(f"{option.ref}: {', '.join(option.words())}" for option in options),
        "bad": [(ref, finding, short(finding)) for ref, finding in bad],
    }
