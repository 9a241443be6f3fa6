"""Record of brightness: one LED beside the fitted one."""

from collections.abc import Mapping
from typing import Literal

from pydantic import Field

from partcheck.jobs.light.brightness import Brightened
from partcheck.jobs.light.circuits import Circuit
from partcheck.jobs.light.equal import Solved
from partcheck.jobs.light.feed import FeedState, LedFeed
from partcheck.jobs.light.operating import ComparedLight, CurveLeft, OperatingPoint
from partcheck.jobs.light.such import AllSuch
from partcheck.jobs.light.wanted import WantedLight
from partcheck.report.answers.brightness import words
from partcheck.report.answers.swap.record import WorsenedRecord, worsened
from partcheck.report.record import (
    HeaderRecord,
    PlaceRecord,
    Record,
    Word,
    finite,
    header,
    place,
    word,
)


class EndsRecord(Record):
    """A number at its least, typical and largest."""

    min: float | None
    typ: float | None
    max: float | None


class CurveLeftRecord(Record):
    """A stated curve that does not reach the current at which it is wanted."""

    quantity: str
    curve: str = Field(description="table and bound of the datasheet")
    end: Literal["first", "last"] = Field(description="which end of the curve was left")
    point: float | None = Field(description="current of that end, A")
    current: float
    effect: Literal["held", "along", "missing"] = Field(
        description="held on the safe side; light read along relative_intensity; missing, so unproven"
    )
    says: str


class OperatingPointRecord(Record):
    """An LED at its real operating point; light of one LED, averaged over chopping, at 25 °C."""

    current: EndsRecord = Field(description="A, while on")
    vf_typ: float | None
    intensity: EndsRecord = Field(description="cd")
    flux: EndsRecord = Field(description="lm; only where the datasheet states a flux")
    resistor_power_max: float | None
    dissipation: float | None = Field(description="largest heat of LEDs and resistor, W")
    tj_hot: float | None
    missing: dict[str, list[str]] = Field(description="for each missing number the values to look up")
    curves_left: list[CurveLeftRecord]


class RatioRecord(Record):
    """Light against the fitted LED."""

    typical: float | None
    least: float | None = Field(description="dimmest piece against the brightest fitted one")
    largest: float | None = Field(description="brightest piece against the dimmest fitted one")
    lightness: float | None = Field(description="CIE 1976 lightness of the dimmer one where the brighter is white")
    as_seen: str


class CircuitRecord(Record):
    """An LED in the place behind a resistor, judged with every place it touches."""

    resistance: float
    as_drawn: bool
    verdict: Word
    point: OperatingPointRecord
    ratio: RatioRecord | None = Field(description="intensity; null where no LED is fitted")
    flux_ratio: RatioRecord | None = Field(description="where viewing angles differ and both state a flux")
    of_wanted: float | None = Field(description="typical light relative to the wanted")
    changes: list[str]
    worsened: list[WorsenedRecord]
    place: PlaceRecord


class WantedRecord(Record):
    """The light that is wanted of one LED at typical."""

    target: float | None = Field(description="cd; null where a ratio is wanted")
    ratio: float | None = Field(description="to the fitted LED; null where a target is wanted")
    intensity: float | None = Field(description="cd; null where it rests on a light that is not known")


class SolvedRecord(Record):
    """The exact resistor for the wanted light, or the end of the curves that is nearest to it."""

    state: Literal["reached", "above", "below", "weak", "unknown"] = Field(
        description="above, below: wanted is more, less than the curves state; weak: no resistor gives as much"
    )
    resistance: float | None
    current: float | None
    light: float | None


class SavedRecord(Record):
    """What a current falls by, A; less than nothing where more is drawn."""

    typical: float | None
    worst: float | None


class SuchRecord(Record):
    """Every indicator with the same LED changed alike."""

    references: list[str]
    resistors: dict[str, float]
    left: list[str] = Field(description="left as they are: no resistor there gives the wanted light")
    saved: SavedRecord
    verdict: Word
    worsened: list[WorsenedRecord]


class FeedStateRecord(Record):
    """A regulator, rail or chip in one state of the board."""

    values: dict[str, float | None]
    verdict: Word | None = Field(description="null where nothing is asked of it")
    headrooms: dict[str, float | None]


class FeedRecord(Record):
    """What feeds the indicator, worst case: before, with this place changed, with all such places changed."""

    kind: Literal["regulator", "rail", "chip"]
    name: str
    output: str | None = Field(description="the rail that a regulator makes")
    before: FeedStateRecord
    changed: FeedStateRecord
    all_changed: FeedStateRecord | None = Field(description="null where no other place has the same LED")


class BrightnessRecord(HeaderRecord):
    """An LED beside the fitted one, and the resistor for equal or wanted light."""

    job: Literal["brightness"] = "brightness"
    verdict: Word = Field(description="of the recommended circuit")
    reference: str
    part_number: str
    maker: str
    finding: str
    wanted: WantedRecord
    fitted: OperatingPointRecord | None
    fitted_place: PlaceRecord
    as_drawn: CircuitRecord
    viewing_angles: list[float | None] = Field(description="fitted and this one, °")
    series: str
    solved: SolvedRecord
    resistors: list[CircuitRecord] = Field(description="behind the preferred values next to the solved one")
    recommended: float | None = Field(description="the best of them, Ω")
    instead: CircuitRecord | None = Field(
        description="where none of them meets: behind the preferred value nearest to the wanted light that does"
    )
    saved: SavedRecord | None = Field(description="here, with the recommended resistor")
    all_such: SuchRecord | None
    feeds: list[FeedRecord]


def _ends(values: Mapping[str, float], name: str) -> EndsRecord:
    return EndsRecord(**{end: finite(values[f"{name}_{end}"]) for end in ("min", "typ", "max")})


def _curve(left: CurveLeft) -> CurveLeftRecord:
    return CurveLeftRecord(
        quantity=left.quantity,
        curve=left.curve,
        end=left.end,  # type: ignore[arg-type]
        point=finite(left.point),
        current=left.current,
        effect=left.effect,  # type: ignore[arg-type]
        says=str(left),
    )


def point_record(point: OperatingPoint) -> OperatingPointRecord:
    """The operating point of an LED in every corner."""
    return OperatingPointRecord(
        current=_ends(point.values, "current"),
        vf_typ=finite(point["vf_typ"]),
        intensity=_ends(point.values, "intensity"),
        flux=_ends(point.values, "flux"),
        resistor_power_max=finite(point["resistor_power_max"]),
        dissipation=finite(point["dissipation"]),
        tj_hot=finite(point["tj_hot"], "°C"),
        missing={name: point.look_up(name) for name, value in point.values.items() if value != value},
        curves_left=[_curve(left) for left in point.curves],
    )


def _ratio(made: ComparedLight | None) -> RatioRecord | None:
    if made is None:
        return None
    return RatioRecord(
        typical=finite(made.typical),
        least=finite(made.least),
        largest=finite(made.largest),
        lightness=finite(made.lightness),
        as_seen=made.as_seen,
    )


def circuit_record(
    made: Circuit, ratio: ComparedLight | None, flux: ComparedLight | None, goal: float
) -> CircuitRecord:
    """A circuit with its light, beside the wanted one."""
    return CircuitRecord(
        resistance=made.resistance,
        as_drawn=made.change is None,
        verdict=word(made.verdict),
        point=point_record(made.point),
        ratio=_ratio(ratio),
        flux_ratio=_ratio(flux),
        of_wanted=finite(made.point.light / goal),
        changes=made.candidate.changes,
        worsened=[worsened(worse) for worse in made.candidate.worsened],
        place=place(made.candidate.judged),
    )


def wanted_record(wanted: WantedLight, goal: float) -> WantedRecord:
    """The light that is wanted."""
    ratio = wanted.ratio if wanted.target is None else None
    return WantedRecord(target=wanted.target, ratio=ratio, intensity=finite(goal))


def solved_record(solved: Solved) -> SolvedRecord:
    """The resistor that was solved for, before it is rounded to the series."""
    return SolvedRecord(
        state=solved.state,  # type: ignore[arg-type]
        resistance=finite(solved.resistance),
        current=finite(solved.current),
        light=finite(solved.light),
    )


def _state(feed: LedFeed, state: FeedState) -> FeedStateRecord:
    findings = state.judged.findings if state.judged is not None else ()
    return FeedStateRecord(
        values={name: finite(value, feed.units[name]) for name, value in state.values.items()},
        verdict=word(state.judged.verdict) if state.judged is not None else None,
        headrooms={f.id: finite(f.headroom) for f in findings},
    )


def _feed(feed: LedFeed) -> FeedRecord:
    states = [_state(feed, state) for state in feed.states]
    return FeedRecord(
        kind=feed.kind,  # type: ignore[arg-type]
        name=feed.name,
        output=feed.output or None,
        before=states[0],
        changed=states[1],
        all_changed=states[2] if len(states) > 2 else None,
    )


def _such(such: AllSuch) -> SuchRecord:
    return SuchRecord(
        references=list(such.refs),
        resistors=such.resistors,
        left=list(such.left),
        saved=SavedRecord(typical=finite(such.saved("current_typ")), worst=finite(such.saved("current_max"))),
        verdict=word(such.verdict),
        worsened=[worsened(worse) for worse in such.worsened],
    )


def record(answer: Brightened) -> BrightnessRecord:
    """One LED beside the fitted one."""

    def made(circuit: Circuit) -> CircuitRecord:
        return circuit_record(circuit, answer.against(circuit), answer.flux_ratio(circuit), answer.goal)

    best, before, saved = answer.best, answer.before, None
    if best is not None and before is not None:
        typical, worst = (before[f"current_{end}"] - best.point[f"current_{end}"] for end in ("typ", "max"))
        saved = SavedRecord(typical=finite(typical), worst=finite(worst))
    return BrightnessRecord(
        **header(answer.setup, answer.cautions, answer.not_judged),
        verdict=word(answer.verdict),
        reference=answer.ref,
        part_number=answer.part.part_number,
        maker=answer.part.maker,
        finding=words.finding(answer),
        wanted=wanted_record(answer.wanted, answer.goal),
        fitted=point_record(before) if before is not None else None,
        fitted_place=place(answer.fitted),
        as_drawn=made(answer.drawn),
        viewing_angles=[finite(angle, "°") for angle in answer.angles],
        series=answer.setup.board_file.board.series,
        solved=solved_record(answer.solved),
        resistors=[made(circuit) for circuit in answer.choices],
        recommended=best.resistance if best is not None else None,
        instead=made(answer.instead) if answer.instead is not None else None,
        saved=saved,
        all_such=_such(answer.such) if answer.such is not None else None,
        feeds=[_feed(feed) for feed in answer.feeds],
    )
