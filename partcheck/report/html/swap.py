"""The page of a swap: the place, the stand-ins with their headroom, each in full, and why the rest fail."""

from datetime import date
from typing import Any

from partcheck.jobs.judge.place import Judged
from partcheck.jobs.remedy.remedies import Remedies
from partcheck.jobs.swap.swap import Candidate, Swapped, baseline
from partcheck.report.explained import in_sentence
from partcheck.report.html import mathml
from partcheck.report.html.page import data, render, worst_first
from partcheck.report.html.pictures import headroom, schematic
from partcheck.report.html.pictures.board import line_of, overview
from partcheck.report.html.pictures.drawing import Picture
from partcheck.report.swapped import demands, price, stock, told
from partcheck.requirement import Verdict

ORDER = (Verdict.MEETS, Verdict.TIGHT, Verdict.UNPROVEN, Verdict.FAILS)


def page(swapped: Swapped, made_on: date | None = None) -> str:
    """The whole page."""
    fitted = swapped.fitted
    status = fitted.part.word("status") or "status not stated" if fitted.part is not None else ""
    return render(
        "swap.html", swapped.setup, f"Stand-ins for {swapped.ref}", made_on,
        job="swap", ref=swapped.ref, role_title=in_sentence(swapped.demands.role.title), compared=swapped.compared,
        counts=[(verdict, swapped.counts[verdict]) for verdict in ORDER],
        place_pictures=[schematic.drawn(swapped.situation, fitted)], demands=_demands(swapped.demands),
        fitted=fitted,
        fitted_stock=f"{status}, {stock(fitted.part.number('quantity'))}" if fitted.part is not None else "",
        candidates=[_candidate(made) for made in swapped.candidates], why_first=swapped.why_first,
        strips=headroom.strips("Headroom of the stand-ins", [_line(made) for made in swapped.candidates])
        if swapped.candidates else None,
        after_picture=_after(swapped), why_not=swapped.why_not, nearest=swapped.nearest,
        notes=swapped.setup.notes, cautions=swapped.cautions,
    )  # fmt: skip


def _demands(judged: Judged) -> list[dict[str, Any]]:
    made = []
    for demand in demands(judged):
        unit = demand.finding.requirement.unit
        made.append(
            {
                "name": demand.finding.id if demand.first else "", "side": demand.side, "words": demand.words,
                "value": data(demand.value, unit) if demand.value == demand.value else "",
                "math": mathml.formula(demand.traced, demand.value, unit) if demand.traced is not None else "",
            }
        )  # fmt: skip
    return made


def _candidate(made: Candidate) -> dict[str, Any]:
    quantity, judged = made.part.number("quantity"), made.judged
    return {
        "made": made, "told": list(told(made)), "found": worst_first(judged.findings),
        "price": data(made.part.number("price"), "", price(made)),
        "stock": data(quantity, "", "-" if quantity != quantity else f"{quantity:.0f}"),
        "bars": headroom.bars(f"{made.part.name} as {judged.ref}", judged.findings),
        "remedies": Remedies({}, {(judged.ref, id_): found for id_, found in made.lookups.items()}),
    }  # fmt: skip


def _line(made: Candidate) -> headroom.Line:
    line = line_of(made.judged, made.part.part_number)
    return headroom.Line(line.name, made.verdict, line.set_by, line.headroom, line.shares)


def _after(swapped: Swapped) -> Picture | None:
    """The whole board with the first stand-in, over the board as fitted."""
    if not swapped.candidates or swapped.candidates[0].situation is None:
        return None
    first = swapped.candidates[0]
    assert first.situation is not None
    return overview(baseline(first.situation), baseline(swapped.situation), f"The board with {first.part.part_number}")
