"""What within one datasheet must rise, fall, or stay below something else.

Source: what the values mean (common practice, no published source); where it is more than that, it is said.
"""

from collections.abc import Iterator, Mapping
from itertools import pairwise

from partcheck.parameters import KINDS, Table
from partcheck.parts.part import Part
from partcheck.parts.review.doubts import Found, rule
from partcheck.points import Row
from partcheck.units import show

RISES, FALLS = "rise", "fall"
_SLACK = 1e-3  # what rounding in a datasheet may do

ORDERED: Mapping[str, tuple[tuple[str, str, str], ...]] = {
    "mosfet": (
        ("rds_on", "vgs", FALLS),
        ("rds_on_factor", "tj", RISES),
        ("id_max", "temperature", FALLS),
        ("idm", "pulse_width", FALLS),
        ("soa", "vds", FALLS),
        ("soa", "pulse_width", FALLS),
        ("idss", "tj", RISES),
        ("eas_factor", "tj", FALLS),
        ("theta_ja", "copper_area", FALLS),
        ("zth", "pulse_width", RISES),
    ),
    "bjt": (
        ("hfe_factor", "tj", RISES),
        ("icbo", "tj", RISES),
        ("rbsoa", "vce", FALLS),
        ("vbe_on", "ic", RISES),
        ("vce_sat", "ib", FALLS),
        ("theta_ja", "copper_area", FALLS),
        ("zth", "pulse_width", RISES),
    ),
    "led": (
        ("vf", "i_f", RISES),
        ("iv", "i_f", RISES),
        ("flux", "i_f", RISES),
        ("relative_intensity", "i_f", RISES),
        ("light_factor", "temperature", FALLS),
        ("if_max", "temperature", FALLS),
        ("theta_ja", "copper_area", FALLS),
    ),
    "diode": (
        ("vf", "i_f", RISES),
        ("if_av", "temperature", FALLS),
        ("ifsm", "pulse_width", FALLS),
        ("ir", "tj", RISES),
        ("clamping", "ipp", RISES),
        ("impedance", "iz", FALLS),
        ("pulse_power", "pulse_width", FALLS),
        ("theta_ja", "copper_area", FALLS),
        ("zth", "pulse_width", RISES),
    ),
    "regulator": (("dropout", "iout", RISES), ("theta_ja", "copper_area", FALLS)),
    "terminal": (("current", "temperature", FALLS),),
}
"""Per kind: a table, one of its axes, and what its values do along it while the other axes stay."""

_LOOSE = {("rds_on", "vgs"): ("id",)}
"""Axes that need not stay: rows of rds_on are stated at different drain currents."""

BELOW: Mapping[str, tuple[tuple[str, str, str], ...]] = {
    "mosfet": (
        ("qgs_typ", "qg_typ", "the gate-source charge is part of the total"),
        ("qgs_max", "qg_max", "the gate-source charge is part of the total"),
        ("qgd_typ", "qg_typ", "the gate-drain charge is part of the total"),
        ("qgd_max", "qg_max", "the gate-drain charge is part of the total"),
        ("crss_typ", "coss_typ", "the reverse transfer capacitance is part of the output capacitance"),
        ("crss_max", "coss_max", "the reverse transfer capacitance is part of the output capacitance"),
        ("crss_typ", "ciss_typ", "the reverse transfer capacitance is part of the input capacitance"),
        ("crss_max", "ciss_max", "the reverse transfer capacitance is part of the input capacitance"),
        ("vgs_th_min", "v_plateau_typ", "the plateau lies above the threshold"),
        ("ear", "eas", "a repeated avalanche may not be larger than a single one"),
    ),
    "bjt": (
        ("vceo", "vcbo", "the base open is the harder case"),
        ("ic_max", "icm", "a peak rating is not below the continuous one"),
        ("ib_max", "ic_max", "a base is not rated above the collector"),
    ),
    "led": (),
    "diode": (
        ("standoff", "vbr_min", "a clamp does not break down at its stand-off voltage"),
        ("repetitive_energy", "pulse_energy", "one of many pulses may not be larger than a single one"),
    ),
    "regulator": (
        ("v_out_max", "vin_max", "the input is above the output"),
        ("vin_max", "vin_transient", "a rating for a short time is not below the continuous one"),
        ("iout_min", "iout_max", "the least load is below the rating"),
        ("iq_max", "iout_max", "what it takes for itself is below what it delivers"),
    ),
    "terminal": (),
}
"""Per kind: a value that is not above another, and why."""


@rule(*KINDS)
def order_of_points(part: Part) -> Iterator[Found]:
    """Along an axis of a table values rise or fall."""
    for name, axis, way in ORDERED[part.kind]:
        table = KINDS[part.kind].table(name)
        for rows in _alike(part, table, axis):
            for bound in table.bounds:
                yield from _out_of_order(table, axis, bound, way, rows)


def _alike(part: Part, table: Table, axis: str) -> Iterator[list[Row]]:
    """Rows that differ in one axis alone, ascending along it."""
    if table.name not in part.tables:
        return
    loose = _LOOSE.get((table.name, axis), ())
    others = [each.name for each in table.axes if each.name != axis and each.name not in loose]
    groups: dict[tuple[float, ...], list[Row]] = {}
    for row in part.table(table.name).rows():
        groups.setdefault(tuple(getattr(row, name) for name in others), []).append(row)
    for rows in groups.values():
        yield sorted(rows, key=lambda row: float(getattr(row, axis)))


def _out_of_order(table: Table, axis: str, bound: str, way: str, rows: list[Row]) -> Iterator[Found]:
    known = [(float(getattr(row, axis)), float(getattr(row, bound))) for row in rows]
    known = [(x, y) for x, y in known if x == x and y == y]
    for (xa, ya), (xb, yb) in pairwise(known):
        if xa == xb or (yb - ya) * (1 if way == RISES else -1) >= -_SLACK * max(abs(ya), abs(yb)):
            continue
        unit = table.axis(axis).unit
        does = "falls" if way == RISES else "rises"
        yield (
            (table.name,),
            f"{table.name} {bound} {does} from {show(ya, table.unit)} at {axis} {show(xa, unit)} to "
            f"{show(yb, table.unit)} at {show(xb, unit)}; it should {way} with {axis}",
        )


@rule(*KINDS)
def one_above_the_other(part: Part) -> Iterator[Found]:
    """A value that cannot be above another."""
    units = KINDS[part.kind].columns()
    for low, high, why in BELOW[part.kind]:
        a, b = part.number(low), part.number(high)
        if a > b * (1 + _SLACK):
            unit = units[low].unit
            yield (low, high), f"{low} {show(a, unit)} is above {high} {show(b, unit)}, but {why}"


@rule("mosfet", "bjt", "diode", "led", "regulator")
def above_the_junction_limit(part: Part) -> Iterator[Found]:
    """Nothing is stated at a junction hotter than tj_max."""
    limit = part.number("tj_max")
    for table in KINDS[part.kind].tables:
        for axis in table.axes:
            if axis.name != "tj":
                continue
            hottest = max((row.tj for row in part.table(table.name).rows()), default=0.0)
            if hottest > limit:
                told = f"{show(hottest, '°C')}, above tj_max {show(limit, '°C')}"
                yield (table.name, "tj_max"), f"{table.name} is stated at a junction of {told}"


@rule("mosfet", "bjt", "led")
def factor_at_25_degrees(part: Part) -> Iterator[Found]:
    """A value relative to 25 °C is 1 there."""
    for name, axis in (
        ("rds_on_factor", "tj"),
        ("eas_factor", "tj"),
        ("hfe_factor", "tj"),
        ("light_factor", "temperature"),
    ):
        for bound in ("min", "typ", "max"):
            at = dict(zip(*part.table(name).curve(axis, bound), strict=True)).get(298.15, 1.0)
            if abs(at - 1) > 0.02:
                yield (name,), f"{name} {bound} is {show(at, '')} at 25 °C, where it is 1 by its meaning"


@rule(*KINDS)
def price_without_currency(part: Part) -> Iterator[Found]:
    """A price says in what money."""
    if part.number("price") > 0 and not part.word("currency"):
        yield ("price", "currency"), f"price {show(part.number('price'), '')} has no currency"
