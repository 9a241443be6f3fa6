"""The page of a vet: what gives way, the current path, the key figures, the board before and after, other clamps."""

from datetime import date
from typing import Any

from partcheck.jobs.vet.clamps import WAYS, Clamping, Replacement
from partcheck.jobs.vet.vet import GivenWay, Step, Vetted
from partcheck.report.explained import assumed_note, short
from partcheck.report.html.page import data, render
from partcheck.report.html.pictures import path as path_picture
from partcheck.report.html.pictures import schematic
from partcheck.report.html.pictures.behaviour import behaviour
from partcheck.report.html.pictures.board import overview
from partcheck.report.vetted import reached
from partcheck.requirement import Fact, Verdict
from partcheck.units import show


def page(vetted: Vetted, made_on: date | None = None) -> str:
    """The whole page."""
    bad = [judged for judged in vetted.after if judged.verdict < Verdict.TIGHT]
    links = [step.after.judged for step in vetted.steps if step.after is not None and step.after.judged is not None]
    on_board = [judged for judged in links if judged.ref in vetted.situation.board.role]
    drawn = [schematic.drawn(vetted.situation, j) for j in on_board if j.role.name in ("mosfet-switch", "npn-sink")]
    moving = [picture for judged in on_board for picture in behaviour(vetted.situation, judged)]
    moving = list({picture.title: picture for picture in moving}.values())  # two parts of a clamp turn off as one
    return render(
        "vet.html", vetted.setup, f"{vetted.load}, {'as changed' if vetted.changes else 'as it is'}", made_on,
        job="vet", vetted=vetted, given=[(made, reached(made), _share(made)) for made in vetted.gives_way],
        path_picture=path_picture.drawn(vetted.load, vetted.steps, bool(vetted.changes)),
        steps=[_step(step) for step in vetted.steps], figures=[_figure(made) for made in vetted.figures],
        board_picture=overview(
            vetted.after, vetted.before if vetted.changes else None,
            "The board before and as changed" if vetted.changes else "The board",
        ),
        bad=bad, remedies=vetted.remedies if bad else None, drawn=[p for p in drawn if p is not None], moving=moving,
        clamping=_clamping(vetted.clamping),
        less=[item for item in vetted.less if item[2].headroom < 0.5 and item[2].headroom < item[1].headroom - 0.005],
        assumed=sorted({note for judged in vetted.places for note in assumed_note(judged)}),
        notes=vetted.as_changed.notes,
        cautions=[f"NEW: {c}" if vetted.changes and c in vetted.new_cautions else c for c in vetted.cautions],
    )  # fmt: skip


def _share(made: GivenWay) -> Any:
    return data(made.share, "", f"{made.share * 100:.0f} %") if made.share is not None else ""


def _number(fact: Fact | None) -> float | None:
    return None if fact is None or fact.value is None else float(fact.value)


def _step(step: Step) -> dict[str, Any]:
    links = {"before": step.before, "after": step.after}
    carried = {name: _number(link.carries) if link is not None else None for name, link in links.items()}
    return {
        "step": step,
        **{name: link.judged if link is not None else None for name, link in links.items()},
        **{f"{name}_carries": data(value, "A") if value is not None else "-" for name, value in carried.items()},
    }


def _figure(made: Any) -> dict[str, Any]:
    sides = {"before": _number(made.before), "after": _number(made.after)}
    return {
        "made": made,
        **{name: data(value, made.unit) if value is not None else "-" for name, value in sides.items()},
    }


def _clamping(clamping: Clamping | None) -> dict[str, Any] | None:
    if clamping is None:
        return None
    ways = []
    for how in clamping.ways:
        near = [
            (made.part.name, "; ".join(f"{ref} {f.id}, {short(f)}" for ref, f in made.against[:3]))
            for made in clamping.nearest if made.how == how
        ]  # fmt: skip
        ways.append((WAYS[how], [_replacement(made) for made in clamping.found if made.how == how], near))
    asked = ", ".join(f"{ref} {finding.id}" for ref, finding in clamping.asked_for)
    return {"asked": asked, "compared": clamping.compared, "ways": ways, "load": clamping.load}


def _replacement(made: Replacement) -> dict[str, Any]:
    return {
        "names": " and ".join(f"{ref} {part.name}" for ref, part in made.fitted), "verdict": made.verdict,
        "headroom": made.headroom, "time": data(made.time, "s"), "peak": data(made.peak, "V"),
        "energy": data(made.energy, "J"),
        "price": show(made.price, "") if made.price == made.price else "not stated",
        "footprint": ", ".join(made.footprint) or "none",
    }  # fmt: skip
