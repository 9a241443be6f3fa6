"""Stated curves that an LED's currents leave, and numbers that are missing for it, in words."""

from collections.abc import Iterator

from partcheck.jobs.light.brightness import Brightened
from partcheck.jobs.light.operating import OperatingPoint
from partcheck.units import show


def left_and_missing(answer: Brightened) -> list[str]:
    """Numbers that are missing, and every stated curve that a current left."""
    said: dict[str, None] = {}
    for part, point in _points(answer):
        for name in point.values:
            if point.missing[name] and point[name] != point[name] and not name.startswith("flux"):
                lack = "; ".join(point.look_up(name))
                said.setdefault(f"{part}: {lack}" if lack.startswith(name) else f"{part}: {name} is missing: {lack}")
        for said_of in curve_lines(point):
            said.setdefault(f"{part}: {said_of}")
    return list(said)


def curve_lines(point: OperatingPoint) -> Iterator[str]:
    """Every stated curve that a current left; light read along the relative curve in one line."""
    along = [left for left in point.curves if left.effect == "along"]
    for name in ("iv", "flux"):
        currents = [left.current for left in along if left.curve.startswith(name)]
        if currents:
            at = ", ".join(dict.fromkeys(show(left.point, "A") for left in along if left.curve.startswith(name)))
            what = "intensity" if name == "iv" else "flux"
            ends = dict.fromkeys(show(current, "A") for current in (min(currents), max(currents)))
            yield f"{what} at {' to '.join(ends)} is read from {name} stated at {at}, along relative_intensity"
    for left in point.curves:
        if left.effect == "held" or (left.effect == "missing" and left.quantity.startswith("flux")):
            yield str(left)


def _points(answer: Brightened) -> Iterator[tuple[str, OperatingPoint]]:
    if answer.before is not None and answer.fitted.part is not None:
        yield f"{answer.fitted.part.part_number} as fitted", answer.before
    name = answer.part.part_number
    if not answer.is_fitted:
        yield f"{name} as drawn", answer.drawn.point
    if answer.best is not None and answer.best is not answer.drawn:
        yield f"{name} at {show(answer.best.resistance, 'Ω')}", answer.best.point
