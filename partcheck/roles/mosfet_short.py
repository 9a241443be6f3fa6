"""A MOSFET whose load is shorted: it carries what its gate allows, or what the path lets through, until the fuse acts.

The path bounds the current from above, whatever the transistor. From below either the channel saturates, at no less
than it surely carries, or it is ohmic: then it has no more resistance than at the edge of saturation, which is no more
than the gate's highest voltage over the current that it surely carries. The fuse takes its I²t at that least current,
and the transistor bears the largest at the full rail for so long.
"""

from typing import Any

from partcheck.operations import keep, smaller
from partcheck.points import greatest
from partcheck.roles import mosfet_channel as channel
from partcheck.roles.mosfet_switch import role  # what it asks stands behind what is asked of every switch

__all__ = ["role"]

role.fact("short_current", "A", "largest current of a shorted load, limited by source and feed alone")
role.fact("short_surge", "A", "no less than that with what the rail's capacitance adds")
role.fact("short_rail", "V", "highest rail of a load that may be shorted")
role.fact("short_volts", "V", "lowest rail of such a load, behind a protection diode")
role.fact("short_resistance", "Ω", "largest resistance of the path of such a load, switch and load left out")
role.fact("fuse_i2t", "A²s", "largest I²t that the fuse lets through")
role.fact("short_delay", "s", "time for which capacitance and inductance of the rail hold the source's current back")
role.fact("fuse_acts", "s", "longest short for which the fuse's I²t is stated")

RATING = "absolute maximum ratings and safe operating area, IEC 60747-8; I²t of the fuse, IEC 60127-1 (from memory)"


@role.quantity("A")
def short_least(p: Any, n: Any) -> Any:
    """Current that surely flows through it while a load is shorted: cold and hot, at the lowest gate voltage."""
    hottest = greatest(p.rds_on_factors, lambda row: row.max)
    carried = channel.carried(p, n, n.short_current, hottest, n.ambient_min)
    return smaller(carried, n.short_volts / (n.short_resistance + n.drive_high_max / carried))


@role.quantity("s")
def short_time(p: Any, n: Any) -> Any:
    """Longest time until the fuse has ended the short; missing where that is longer than its I²t is stated for."""
    time = n.fuse_i2t / (p.short_least * p.short_least) + n.short_delay
    return keep(time, time, n.fuse_acts)


@role.requirement(
    "A",
    RATING,
    asks=["short_current", "fuse_i2t"],
    cure="a faster fuse, more resistance ahead of the board, a higher gate voltage, or a larger part",
)
def shorted_load(p: Any, n: Any) -> Any:
    """The switch survives a shorted load until the fuse acts.

    Asked where the rail states the I²t of its fuse. The rail over the least resistance of source and feed, and over
    that of its capacitance, against the pulse rating and the safe operating area at the full rail, at the next longer
    stated width and from the hottest junction. How long it lasts follows from the I²t at the current that surely
    flows, which the channel at the lowest gate voltage or the whole path lets through, and from how long the
    capacitance feeds the short instead and the inductance of feed and cable holds it back; that of the source itself is
    not known. A short that the fuse ends later than in 10 ms proves nothing.
    """
    pulse = greatest(p.idm, lambda row: keep(row.max, p.short_time, row.pulse_width))
    area = greatest(p.soa, lambda row: keep(keep(row.max, p.short_time, row.pulse_width), n.short_rail, row.vds))
    ratings = n.k_id * pulse * p.start_factor, n.k_id * area * p.start_factor
    return [(current, rating) for current in (n.short_current, n.short_surge) for rating in ratings]
