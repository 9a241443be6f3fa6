"""The high level of a drive as its chip's supply lets it be: no output is higher than what supplies it.

The least level is no more than the least voltage of that supply, with feed, tolerance and dropout of a regulator
counted. An output that is stated to reach the usual supply drives up to it, so its largest level is no less than the
largest supply. A drive of no stated chip or supply stays as it is stated, and so does one whose supply is made by a
regulator of which no output voltage is known. The direction of :mod:`partcheck.situation.situation` holds: largest
levels rest on no current.
"""

from typing import TYPE_CHECKING, Any

from partcheck.board.surroundings import Drive
from partcheck.requirement import Fact
from partcheck.situation.many import Partly, at_least, either, lowest_known, many, show, unknown

if TYPE_CHECKING:
    from partcheck.situation.situation import RailState, Situation

LEAST, TYPICAL, LARGEST = range(3)
ENDS = ("least", "typical", "largest")
OUTPUTS = ("v_out_low", "v_out_nominal", "v_out_high")
SAME = 1 - 1e-9
"""Levels nearer than that are the same."""


def high_level(situation: "Situation", name: str, end: int) -> Fact:
    """The high level of a drive at one of its ends, V: least, typical or largest."""
    made: Fact = situation.once(("high", name, ENDS[end]), lambda: _level(situation, name, end))
    return made


def high_max(situation: "Situation", name: str) -> Any:
    """The largest high level of a drive, V; it is always known."""
    return high_level(situation, name, LARGEST).value


def _level(situation: "Situation", name: str, end: int) -> Fact:
    drive = situation.board.drive[name]
    stated, supply = Fact(drive.high[end], f"drive.{name}.high, {ENDS[end]}"), _supply(situation, drive, end)
    if supply is None:
        return stated
    if end == LARGEST:
        return _lifted(stated, supply)
    return _limited(stated, supply.typical) if end == TYPICAL else _lowered(situation, drive, stated, supply)


def _supply(situation: "Situation", drive: Drive, end: int) -> "RailState | None":
    """The rail that supplies the chip of a drive; None where none is stated, or this end of it is not known."""
    chip = situation.board.chip.get(drive.chip or "")
    if chip is None or chip.supply is None:
        return None
    regulator = situation.board.rail[chip.supply].regulator
    if regulator is not None and unknown(situation.own_quantity(regulator, OUTPUTS[end]).value):
        return None
    return situation.rail(chip.supply)


def _lifted(stated: Fact, supply: "RailState") -> Fact:
    """An output stated to reach the usual supply reaches the largest, too."""
    most, usual = supply.largest, supply.typical.value
    if unknown(usual):
        usual = 0.0  # it may be any
    kept = (stated.value < SAME * usual) | (stated.value >= most.value)
    source = f"{most.source}, as {stated.source} {show(stated.value, 'V')} reaches what supplies it"
    return _where(kept, stated, Fact(most.value, source, most.missing, most.assumed, most.bounded))


def _limited(stated: Fact, most: Fact) -> Fact:
    source = f"{most.source}, as no output is above its supply"
    above = most.value < SAME * stated.value
    return _where(above, Fact(most.value, source, most.missing, most.assumed, most.bounded), stated)


def _lowered(situation: "Situation", drive: Drive, stated: Fact, supply: "RailState") -> Fact:
    """Where the least supply covers the stated level, that holds; below, the supply less what the output drops."""
    least = supply.least
    if situation.board.rail[supply.name].regulator is not None:
        # out of regulation or not is asked at the regulator, and unproven there where it is not known
        least = lowest_known([supply.unloaded_least, least])
    drop, told = _output_drop(drive, stated, supply)
    source = f"{least.source}, as no output is above its supply{told}"
    below = Fact(at_least(least.value - drop, 0.0), source, least.missing, least.assumed, least.bounded)
    covered = least.value >= SAME * stated.value
    return _where(covered, stated, below)


def _output_drop(drive: Drive, stated: Fact, supply: "RailState") -> tuple[Any, str]:
    """What an output drops of its supply where its level is stated at a current, V: nothing where it is unloaded.

    That of its source resistance; where none is stated, what its stated level lies below the usual supply.
    """
    if drive.high_at is None:
        return 0.0, ""
    if drive.source_resistance is not None:
        return drive.high_at * drive.source_resistance.max, ", less high_at over source_resistance"
    usual = lowest_known([supply.typical, supply.largest])
    return at_least(usual.value - stated.value, 0.0), ", less what it drops of the usual supply"


def _where(condition: Any, one: Fact, other: Fact) -> Fact:
    """One fact where the condition holds, else the other; of many circuits each its own."""
    if not many(condition):
        return one if condition else other
    bounded = [
        Partly(name, held & getattr(name, "where", True))
        for held, fact in ((condition, one), (~condition, other))
        for name in fact.bounded
    ]
    value = either(condition, one.value, other.value)
    return Fact(value, "", (*one.missing, *other.missing), (*one.assumed, *other.assumed), tuple(bounded))
