"""An LED at its real operating point, and the stated curves that its currents leave.

Nothing is read beyond a stated point in silence: a current beyond its curve is held on the safe side, light is
read along the relative curve or is missing, and each such place is named with the curve, its end and the current.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from partcheck.physics import light
from partcheck.points import PointTable
from partcheck.readings.story import NO_RESULT, causes
from partcheck.requirement import Fact
from partcheck.situation import Situation
from partcheck.units import show

QUANTITIES = (
    "current_min",
    "current_typ",
    "current_max",
    "vf_typ",
    "intensity_min",
    "intensity_typ",
    "intensity_max",
    "flux_min",
    "flux_typ",
    "flux_max",
    "resistor_power_max",
    "dissipation",
    "tj_hot",
)
ENDS = ("min", "typ", "max")
_HELD = {
    "min": (
        "; its first voltage is held, so the current is not taken too large",
        "; its voltage is raised in proportion to the current, so the current is not taken too large",
    ),
    "max": (
        "; it is taken as a straight line from zero, so the current is not taken too small",
        "; its last voltage is held, so the current is not taken too small",
    ),
}
"""How a curve of the forward voltage is read before its first and beyond its last point."""


@dataclass(frozen=True)
class CurveLeft:
    """A stated curve that does not reach the current at which it is wanted.

    ``effect``: ``held`` (read on the safe side), ``along`` (light read along the relative curve from the stated
    point), ``missing`` (not stated, so unproven).
    """

    quantity: str
    curve: str
    end: str
    point: float
    current: float
    effect: str
    how: str

    def __str__(self) -> str:
        verb = "begins" if self.end == "first" else "ends"
        at = f"{self.quantity} at {show(self.current, 'A', 3)}"
        if self.effect == "along":
            return f"{at}: {self.curve} is stated at {show(self.point, 'A')}{self.how}"
        return f"{at}: {self.curve} {verb} at {show(self.point, 'A')}{self.how}"


@dataclass(frozen=True)
class OperatingPoint:
    """Currents, light and heat of an LED in its circuit; NaN where a number rests on something missing."""

    values: Mapping[str, float]
    missing: Mapping[str, tuple[str, ...]]
    curves: tuple[CurveLeft, ...]

    def __getitem__(self, name: str) -> float:
        return self.values[name]

    @property
    def light(self) -> float:
        """Typical luminous intensity of one LED."""
        return self.values["intensity_typ"]

    def look_up(self, name: str) -> list[str]:
        """What is missing for a number: the curve that ends before its current, else the values not stated."""
        found = [str(left) for left in self.curves if left.quantity == name and left.effect == "missing"]
        return found or list(self.missing[name])


def operating_point(situation: Situation, ref: str) -> OperatingPoint:
    """The LED fitted at ``ref`` in its circuit."""
    facts: dict[str, Fact] = {name: situation.own_quantity(ref, name) for name in QUANTITIES}
    values = {name: float(fact.value) for name, fact in facts.items()}
    p = situation.views(ref)[0]
    curve = p.vf.table.curve("i_f", "typ")[0]
    missing = {name: _plain(ref, fact.missing, bool(curve)) for name, fact in facts.items()}
    return OperatingPoint(values, missing, tuple(_curves_left(p, values)))


def _plain(ref: str, missing: tuple[str, ...], curve: bool) -> tuple[str, ...]:
    """What is missing, without the reference; a current without a ``curve`` of the forward voltage lacks that."""
    own = [name.removeprefix(f"{ref}: ") for name in missing]
    return causes(own if curve else ["vf typ" if name.endswith(NO_RESULT) else name for name in own])


def _curves_left(p: Any, values: Mapping[str, float]) -> Iterator[CurveLeft]:
    for end, table in zip(ENDS, (p.vf_high, p.vf, p.vf_low), strict=True):
        bound = {"min": "max", "typ": "typ", "max": "min"}[end]
        held = _HELD.get(end, ("", ""))
        if end == "typ":
            readings = sorted(float(made.value) for made in (p.current_typ_below, p.current_typ_above))
            low, high = (show(value, "A") for value in readings)
            held = (f"; it is taken midway between {low} and {high}, which hold it from both sides",) * 2
        yield from _voltage_left(table.table, bound, end, values[f"current_{end}"], held)
    for name, tables in (("intensity", (p.iv_low, p.iv, p.iv_high)), ("flux", (p.flux_low, p.flux, p.flux_high))):
        for end, table in zip(ENDS, tables, strict=True):
            made = _light_left(
                table.table,
                p.relative_intensity.table,
                ("iv" if name == "intensity" else name, end),
                f"{name}_{end}",
                (values[f"current_{end}"], values[f"{name}_{end}"]),
            )
            if made is not None:
                yield made


def _outside(points: list[float], current: float) -> tuple[str, float] | None:
    """Which end of the stated points a current leaves, and where that end is."""
    if current < points[0]:
        return "first", points[0]
    return ("last", points[-1]) if current > points[-1] else None


def _voltage_left(
    table: PointTable, bound: str, end: str, current: float, held: tuple[str, str]
) -> Iterator[CurveLeft]:
    points = table.curve("i_f", bound)[0]
    left = _outside(points, current) if points and current == current else None
    if left is not None:
        yield CurveLeft(f"current_{end}", f"vf {bound}", *left, current, "held", held[left[0] == "last"])


def _light_left(
    table: PointTable, relative: PointTable, curve: tuple[str, str], quantity: str, read: tuple[float, float]
) -> CurveLeft | None:
    current, value = read
    points = table.curve("i_f", curve[1])[0]
    left = _outside(points, current) if points and current == current else None
    if left is None:
        return None
    name = " ".join(curve)
    if value == value:
        return CurveLeft(quantity, name, *left, current, "along", "; read from there along relative_intensity")
    along = relative.curve("i_f", "typ")[0]
    if not along:
        return CurveLeft(
            quantity, name, *left, current, "missing", ", and relative_intensity, which would tell, is not stated"
        )
    short = _outside(along, current)
    if short is not None:
        return CurveLeft(quantity, "relative_intensity", *short, current, "missing", ", so it is not stated there")
    how = f" and does not reach the {name} stated at {show(left[1], 'A')}"
    return CurveLeft(quantity, "relative_intensity", *(_outside(along, left[1]) or left), current, "missing", how)


# ---- two LEDs side by side


@dataclass(frozen=True)
class ComparedLight:
    """The light of a circuit against that of the fitted LED: as intensity on the axis, or as flux in all."""

    typical: float
    least: float
    largest: float

    @property
    def lightness(self) -> float:
        """CIE 1976 lightness of the dimmer of the two where the brighter one is white."""
        return light.lightness(min(self.typical, 1 / self.typical)) if self.typical > 0 else math.nan

    @property
    def as_seen(self) -> str:
        """The ratio at typical as it strikes the eye, in words."""
        return light.as_seen(self.typical)

    @property
    def seen(self) -> str:
        """The same in a few words."""
        return light.seen(self.typical)


def compare_light(new: OperatingPoint, old: OperatingPoint, name: str = "intensity") -> ComparedLight:
    """Ratio of light: typical to typical; the dimmest new piece to the brightest old one, and the reverse.

    The range is that of two single pieces, each anywhere between its corners.
    """
    least, typical, largest = (f"{name}_{end}" for end in ENDS)
    return ComparedLight(
        _ratio(new[typical], old[typical]), _ratio(new[least], old[largest]), _ratio(new[largest], old[least])
    )


def _ratio(new: float, old: float) -> float:
    return new / old if old > 0 else math.nan
