"""Record of the LEDs for a place: every known one, each with the resistor for equal or wanted light."""

from typing import Literal

from pydantic import Field

from partcheck.jobs.light.equal import REACHED
from partcheck.jobs.light.ranking import BrightnessRanking, Ranked
from partcheck.jobs.light.tried import ScreenedLed
from partcheck.parts import Part
from partcheck.report.answers.brightness import words
from partcheck.report.answers.brightness.record import (
    CircuitRecord,
    OperatingPointRecord,
    SolvedRecord,
    WantedRecord,
    circuit_record,
    point_record,
    solved_record,
    wanted_record,
)
from partcheck.report.record import HeaderRecord, Record, Word, finite, header, word


class RankedRecord(Record):
    """An LED with the resistor that gives the wanted light."""

    rank: int
    part_number: str
    maker: str
    verdict: Word
    resistor: float | None = Field(description="null where none gives the wanted light; the circuit is then as drawn")
    solved: SolvedRecord
    why_no_resistor: str
    viewing_angles: list[float | None] = Field(description="fitted and this one, °")
    price: float | None
    currency: str | None
    quantity: float | None
    status: str | None
    circuit: CircuitRecord


class OtherRecord(Record):
    """An LED that is not ranked: it fails, or comes after those shown. As screened, neighbours left aside."""

    part_number: str
    maker: str
    verdict: Word
    resistor: float | None
    solved: SolvedRecord
    light: float | None
    current: float | None
    failing: list[str]
    unproven: list[str]


class BrightnessRankingRecord(HeaderRecord):
    """Every known LED for a place, each with the resistor for equal or wanted light."""

    job: Literal["brightness-ranking"] = "brightness-ranking"
    verdict: Word = Field(description="of the best LED; fails where there is none")
    reference: str
    wanted: WantedRecord
    fitted: OperatingPointRecord | None
    series: str
    compared: int
    counts: dict[Word, int]
    ranked: list[RankedRecord]
    others: list[OtherRecord]
    why_first: str
    why_not: dict[str, int] = Field(description="how many LEDs fail each requirement")


def _stated(part: Part, name: str) -> str | None:
    return part.word(name) or None


def _ranked(rank: int, made: Ranked, answer: BrightnessRanking) -> RankedRecord:
    part, solved = made.entry.part, made.entry.solved
    return RankedRecord(
        rank=rank,
        part_number=part.part_number,
        maker=part.maker,
        verdict=word(made.verdict),
        resistor=made.circuit.resistance if made.has_resistor else None,
        solved=solved_record(solved),
        why_no_resistor=words.no_resistor(made, answer) if solved.state != REACHED else "",
        viewing_angles=[
            finite(p.number("viewing_angle")) if p is not None else None for p in (answer.fitted.part, part)
        ],
        price=finite(part.number("price")),
        currency=_stated(part, "currency"),
        quantity=finite(part.number("quantity")),
        status=_stated(part, "status"),
        circuit=circuit_record(made.circuit, made.ratio, made.flux_ratio(answer.fitted.part), answer.goal),
    )


def _other(entry: ScreenedLed) -> OtherRecord:
    return OtherRecord(
        part_number=entry.part.part_number,
        maker=entry.part.maker,
        verdict=word(entry.verdict),
        resistor=finite(entry.resistance),
        solved=solved_record(entry.solved),
        light=finite(entry.light),
        current=finite(entry.current),
        failing=list(entry.failing),
        unproven=list(entry.unproven),
    )


def record(answer: BrightnessRanking) -> BrightnessRankingRecord:
    """Every known LED for a place."""
    return BrightnessRankingRecord(
        **header(answer.setup, answer.cautions, answer.not_judged),
        verdict=word(answer.verdict),
        reference=answer.ref,
        wanted=wanted_record(answer.wanted, answer.goal),
        fitted=point_record(answer.before) if answer.before is not None else None,
        series=answer.setup.board_file.board.series,
        compared=answer.compared,
        counts={word(verdict): count for verdict, count in answer.counts.items()},
        ranked=[_ranked(i, made, answer) for i, made in enumerate(answer.ranked, 1)],
        others=[_other(entry) for entry in answer.others],
        why_first=answer.why_first,
        why_not=answer.why_not,
    )
