"""Every known LED for a place as CSV, for a spreadsheet."""

import csv
import io

from partcheck.jobs.light.equal import REACHED
from partcheck.jobs.light.ranking import BrightnessRanking, Ranked
from partcheck.report.render.csv import cell
from partcheck.requirement import Verdict

HEADER = (
    "rank",
    "part_number",
    "maker",
    "verdict",
    "resistor",
    "exact_resistor",
    "current_typ",
    "current_max",
    "intensity_min",
    "intensity_typ",
    "intensity_max",
    "ratio",
    "flux_ratio",
    "least_headroom",
    "set_by",
    "changes",
    "worsens",
    "failing",
    "unproven",
    "price",
    "currency",
    "quantity",
    "status",
)


def text(answer: BrightnessRanking) -> str:
    """One row per LED: those ranked, then the others without a rank."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADER)
    for i, made in enumerate(answer.ranked, 1):
        writer.writerow([cell(value) for value in _ranked_row(i, made, answer)])
    for entry in answer.others:
        part, solved = entry.part, entry.solved
        row = (
            None,
            part.part_number,
            part.maker,
            entry.verdict.word,
            _float(entry.resistance),
            _float(solved.resistance if solved.state == REACHED else float("nan")),
            _float(entry.current),
            None,
            None,
            _float(entry.light),
            None,
            None,
            None,
            None,
            None,
            None,
            None,
            "; ".join(entry.failing),
            "; ".join(entry.unproven),
            part.number("price"),
            part.word("currency"),
            part.number("quantity"),
            part.word("status"),
        )
        writer.writerow([cell(value) for value in row])
    return out.getvalue().rstrip("\n")


def _float(value: float) -> float | None:
    return float(f"{value:.6g}") if value == value else None


def _ranked_row(rank: int, made: Ranked, answer: BrightnessRanking) -> tuple[object, ...]:
    part, point, candidate, known = made.entry.part, made.circuit.point, made.circuit.candidate, made.has_resistor
    ratio, flux = made.ratio, made.flux_ratio(answer.fitted.part)
    tightest = candidate.judged.tightest
    failing, unproven = (candidate.judged.with_verdict(v) for v in (Verdict.FAILS, Verdict.UNPROVEN))

    def shown(value: float) -> float | None:
        return _float(value) if known else None

    return (
        rank,
        part.part_number,
        part.maker,
        made.verdict.word,
        shown(made.circuit.resistance),
        shown(made.entry.solved.resistance),
        shown(point["current_typ"]),
        shown(point["current_max"]),
        shown(point["intensity_min"]),
        shown(point["intensity_typ"]),
        shown(point["intensity_max"]),
        shown(ratio.typical) if ratio is not None else None,
        shown(flux.typical) if flux is not None else None,
        shown(candidate.judged.headroom),
        tightest.id if tightest is not None and known else None,
        "; ".join(candidate.changes) if known else None,
        "; ".join(map(str, candidate.worsened)) if known else None,
        "; ".join(f.id for f in failing) if known else None,
        "; ".join(f.id for f in unproven) if known else None,
        part.number("price"),
        part.word("currency"),
        part.number("quantity"),
        part.word("status"),
    )
