"""What the circuit around a part alone proves of it, where its datasheet values are missing.

An LED draws no more than its feed drives through its resistor, a base no more than its drive does, a linear regulator
gives out no more than it gets. Where no circuit bounds a value, the largest that a sheet may state of it does: a larger
one is refused wherever parts are entered. Such a bound stands in for a quantity that others rest on: what is met with
it is met whatever the part is, and what it exceeds is not known. So one blank value does not leave a whole board
unproven.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from partcheck.board.roles import Indicator, MosfetSwitch, NpnSink, Regulator, Terminal
from partcheck.parameters import KINDS
from partcheck.requirement import Fact
from partcheck.situation.drives import high_max
from partcheck.situation.many import bounded_by, largest_of, names_under, show, some_unknown, sum_of

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation


def or_bound(situation: "Situation", ref: str, name: str, made: Fact) -> Fact:
    """The quantity ``name`` of the part at ``ref`` as it was made; where it is missing, what bounds it."""
    find = BOUNDS.get((type(situation.board.role[ref]), name))
    if find is None or not some_unknown(made.value):
        return made
    most, source = find(situation, ref)
    lacking = made.missing or (f"{ref}: {name}",)
    return bounded_by(made, most, f"{ref} at most {source}", lacking)


def _led_current(situation: "Situation", ref: str) -> tuple[Fact, str]:
    """All of its feed over its resistor: an LED has no negative voltage."""
    facts = situation.facts(ref)
    feed, ohms = facts["feed_max"], facts["resistor_min"]
    return Fact(feed.value / ohms.value, "", feed.missing, feed.assumed, feed.bounded), "feed over resistor"


def _no_current(situation: "Situation", ref: str) -> tuple[Fact, str]:
    return Fact(0.0), "nothing, at least"


def _base_current(situation: "Situation", ref: str) -> tuple[Fact, str]:
    """All of the drive over the base resistor."""
    switch: Any = situation.board.role[ref]
    return Fact(high_max(situation, switch.drive) / switch.base_resistor.min), "drive over base resistor"


def _output_voltage(situation: "Situation", ref: str) -> tuple[Fact, str]:
    """What it gets: a linear regulator raises no voltage."""
    place: Any = situation.board.role[ref]
    return situation.rail(place.input).largest, f"its input {place.input}"


def _divider_current(situation: "Situation", ref: str) -> tuple[Fact, str]:
    """All of its input over either resistor: output and adjust pin lie between ground and the input."""
    place: Any = situation.board.role[ref]
    if place.upper_resistor is None and place.lower_resistor is None:
        return Fact(0.0), "nothing, as no resistors set its output"
    facts = situation.facts(ref)
    volts, upper, lower = facts["input_max"], facts["upper_min"], facts["lower_min"]
    through = volts.value / upper.value + volts.value / lower.value
    return Fact(through, "", *names_under((volts, upper, lower))), "its input over each of its resistors"


def _led_heat(situation: "Situation", ref: str) -> tuple[Fact, str]:
    """All of its feed, times all that its resistor lets through."""
    current, feed = _led_current(situation, ref)[0], situation.facts(ref)["feed_max"]
    return Fact(feed.value * current.value, "", *names_under((feed, current))), "feed times feed over resistor"


def _switch_heat(situation: "Situation", ref: str) -> tuple[Fact, str]:
    """All that its rail gives to its load: what a coil gives back came from there, and leakage passes the load."""
    facts = situation.facts(ref)
    volts, *amps = facts["rail_max"], facts["load_current"], facts["start_current"]
    current = largest_of([one.value for one in amps if one.value is not None])
    return Fact(volts.value * current, "", *names_under((volts, *amps))), "its rail times its largest current"


def _npn_heat(situation: "Situation", ref: str) -> tuple[Fact, str]:
    """That, and all that its drive gives to its base."""
    base, _ = _base_current(situation, ref)
    load, source = _switch_heat(situation, ref)
    switch: Any = situation.board.role[ref]
    given = high_max(situation, switch.drive) * base.value
    return Fact(load.value + given, "", *names_under((load,))), f"{source} and its base's"


def _regulator_heat(situation: "Situation", ref: str) -> tuple[Fact, str]:
    """All of its input times all that goes into it."""
    facts = situation.facts(ref)
    volts, load = facts["input_max"], facts["load_current"]
    own = [situation.quantity(ref, name) for name in ("iq_largest", "divider_current")]
    current = sum_of([load.value, *(one.value for one in own)])
    return Fact(volts.value * current, "", *names_under((volts, load, *own))), "its input times its input current"


def _largest_stated(kind: str, name: str) -> Callable[["Situation", str], tuple[Fact, str]]:
    """The most that a sheet may state of a value, as :mod:`partcheck.parts.checks` holds every part to it."""
    declared = next(parameter for parameter in KINDS[kind].parameters if parameter.name == name)

    def find(situation: "Situation", ref: str) -> tuple[Fact, str]:
        return Fact(declared.high), f"{show(declared.high, declared.unit)}, the largest that a sheet may state"

    return find


BOUNDS: dict[tuple[type, str], Callable[["Situation", str], tuple[Fact, str]]] = {
    (Indicator, "current_max"): _led_current,
    (Indicator, "current_min"): _no_current,
    (Indicator, "dissipation"): _led_heat,
    (MosfetSwitch, "dissipation"): _switch_heat,
    (NpnSink, "dissipation"): _npn_heat,
    (NpnSink, "base_current_max"): _base_current,
    (Regulator, "v_out_high"): _output_voltage,
    (Regulator, "divider_current"): _divider_current,
    (Regulator, "dissipation"): _regulator_heat,
    (Regulator, "iq_largest"): _largest_stated("regulator", "iq"),
    (Terminal, "contact_resistance_max"): _largest_stated("terminal", "contact_resistance"),
}
"""By role and quantity: the bound, and what it is, in words. Each is on the safe side wherever the quantity is read:
largest currents, voltages, resistances and heats only add, the least current of an LED only helps."""
