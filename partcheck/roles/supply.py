"""A rail and a chip: the board's own sums, which no catalog part fills. Their formulas ignore the part.

Corners: largest currents of all that may be on at once, inrush and stall counted; lowest rail with the drop of
those currents, highest with none. tests/roles/test_supply.py draws what is on at random and none exceeds them.
"""

from typing import Any

from partcheck.roles.common import board_role

rail = board_role("rail", "Supply rail")
chip = board_role("chip", "Chip that drives")

rail.fact("rail_current", "A", "largest current that the rail feeds at once")
rail.fact("source_limit", "A", "what the source may deliver")
rail.fact("lasting_current", "A", "largest current that the rail feeds for long, starts counted by their heat")
rail.fact("fuse_limit", "A", "what the rail delivers for longer than an instant: fuse or limit")
rail.fact("board_low", "V", "lowest voltage at the board, with every current in the feed")
rail.fact("board_high", "V", "highest voltage at the board, with no drop in the feed")
rail.fact("pushed_current", "A", "largest current that other feeds push into it through loads that meet at a switch")
rail.fact("sunk_current", "A", "what surely flows out of it")
rail.fact("surge", "V", "highest voltage at the board when every current of the feed is switched off at once")
rail.fact("surge_limit", "V", "extra-low voltage")
rail.fact("accepts_low", "V", "lowest supply that the logic accepts")
rail.fact("accepts_high", "V", "highest supply that the logic accepts")

chip.fact("chip_current", "A", "largest current of all outputs at once")
chip.fact("total_limit", "A", "largest current of all outputs together")
chip.fact("highest_level", "V", "highest level that an output is stated to give")
chip.fact("level_limit", "V", "highest voltage of its supply, and a few per cent for rounding")


@rail.requirement(
    "A",
    "Kirchhoff's current law; factor of the policy on what a source delivers",
    asks=["source_limit"],
    cure="fewer loads on at once, a soft start, or a stronger source",
)
def supply_current(p: Any, n: Any) -> Any:
    """The source delivers all that may be on at once.

    Every load, indicator, regulator and logic of the rail at its largest, inrush and stall counted.
    """
    return n.rail_current, n.k_source_current * n.source_limit


@rail.requirement(
    "A",
    "Kirchhoff's current law; a fuse or limit ends what is above it for long (IEC 60127-1; from memory)",
    asks=["fuse_limit"],
    cure="fewer loads on at once, or the fuse that is actually fitted",
)
def fuse_holds(p: Any, n: Any) -> Any:
    """What the rail feeds for long stays under its fuse or limit.

    Every load, indicator, regulator and logic that may be on at once, starts counted by their heat. Wires, poles and
    tracks are judged with that fuse, so one smaller than the loads themselves would prove nothing.
    """
    return n.lasting_current, n.fuse_limit


@rail.requirement(
    "V",
    "supply range that the logic accepts; Ohm's law on the feed",
    asks=["accepts_low", "accepts_high"],
    cure="a source with a tighter voltage, a shorter or thicker feed, or fewer loads on at once",
)
def logic_supply(p: Any, n: Any) -> Any:
    """The voltage at the board stays inside what the logic accepts.

    Lowest with the drop of every current in the feed, highest without any; a stated transient counts.
    """
    return [(n.accepts_low, n.board_low), (n.board_high, n.accepts_high)]


@rail.requirement(
    "A",
    "Kirchhoff's current law; a supply or a regulator is not stated to take current back",
    asks=["pushed_current"],
    cure="one rail for everything on a switch, a switch of its own for each rail, or a load that always draws more",
)
def back_feed(p: Any, n: Any) -> Any:
    """What other feeds push into the rail, something on it surely takes, so that it is not lifted.

    Asked where loads or clamps of this rail meet those of another feed at a switch: what passes while that is off, with
    this rail absent where it may be, and what coils of other rails push through a clamp as it opens. Against the least
    current of logic and of loads that no switch interrupts.
    """
    return n.pushed_current, n.sunk_current


@rail.requirement(
    "V",
    "energy of a series circuit, rise I·sqrt(L/C) (derivation); limit of extra-low voltage, IEC 61140",
    asks=["surge"],
    cure="more capacitance on the board or with less series resistance, a shorter feed, or fewer loads on at once",
)
def feed_surge(p: Any, n: Any) -> Any:
    """The rail, with what its feed adds when loads go off, stays within extra-low voltage.

    Highest rail, and all that the source may deliver (where it states no limit, all that may be on at once) switched
    off together: the feed's inductance drives its current into the least capacitance on the board and its largest
    series resistance. Open switches, diodes, inputs and terminals are judged at that voltage. Without a stated
    capacitance it is proven only where the wave on the feed stays within the stated transient.
    """
    return n.surge, n.surge_limit


@chip.requirement(
    "A",
    "absolute maximum total current of the chip's outputs; factor of the policy",
    asks=["total_limit"],
    cure="larger base, gate or LED resistors, fewer outputs on at once, or outputs spread over two chips",
)
def chip_current(p: Any, n: Any) -> Any:
    """All outputs of the chip together stay under its derated total current.

    Base, indicator, pull-down and gate charging currents of what may be on at once, each at its largest.
    """
    return n.chip_current, n.k_drive_current * n.total_limit


@chip.requirement(
    "V",
    "Kirchhoff's voltage law: an output gives no more than its supply; 5 % for rounding is common practice",
    asks=["highest_level", "level_limit"],
    cure="the level at the real supply, or another supply",
    discrete=True,
)
def high_level(p: Any, n: Any) -> Any:
    """No output is stated to give more than the supply of the chip can be.

    The largest high level of its drives against the highest supply. A level stated too high proves nothing.
    """
    return n.highest_level, n.level_limit
