"""What light an LED gives at its currents, and what it may carry in the hottest air."""

from typing import Any

from partcheck.operations import assume, keep, larger, prefer
from partcheck.physics import heat
from partcheck.points import LINEAR, RATIO, SEMI_LOG, between, greatest, shifted
from partcheck.roles.led_numbers import known_junction, lowest, role
from partcheck.roles.led_string import (
    light_at,
    solve,
    string_voltage,
)

__all__ = ["role"]
quantity = role.quantity


@quantity("cd")
def iv_low(p: Any, n: Any) -> Any:
    """Luminous intensity of the dimmest bin, 25 °C."""
    return shifted(p.iv, "i_f", "min", RATIO)


@quantity("cd")
def iv_high(p: Any, n: Any) -> Any:
    """Luminous intensity of the brightest bin, 25 °C."""
    return shifted(p.iv, "i_f", "max", RATIO)


@quantity("lm")
def flux_low(p: Any, n: Any) -> Any:
    """Luminous flux of the dimmest bin, 25 °C."""
    return shifted(p.flux, "i_f", "min", RATIO)


@quantity("lm")
def flux_high(p: Any, n: Any) -> Any:
    """Luminous flux of the brightest bin, 25 °C."""
    return shifted(p.flux, "i_f", "max", RATIO)


@quantity("cd")
def intensity_min(p: Any, n: Any) -> Any:
    """Least luminous intensity of one LED, at the least current, at 25 °C, averaged where chopped."""
    return n.light_duty_min * light_at(p, p.iv_low, "min", p.current_min)


@quantity("cd")
def intensity_typ(p: Any, n: Any) -> Any:
    """Typical luminous intensity of one LED, averaged where chopped."""
    return n.light_duty_typ * light_at(p, p.iv, "typ", p.current_typ)


@quantity("cd")
def intensity_max(p: Any, n: Any) -> Any:
    """Largest luminous intensity of one LED, at the largest current, at 25 °C, averaged where chopped."""
    return n.light_duty_max * light_at(p, p.iv_high, "max", p.current_max)


@quantity("lm")
def flux_min(p: Any, n: Any) -> Any:
    """Least luminous flux of one LED, as the intensity."""
    return n.light_duty_min * light_at(p, p.flux_low, "min", p.current_min)


@quantity("lm")
def flux_typ(p: Any, n: Any) -> Any:
    """Typical luminous flux of one LED, as the intensity."""
    return n.light_duty_typ * light_at(p, p.flux, "typ", p.current_typ)


@quantity("lm")
def flux_max(p: Any, n: Any) -> Any:
    """Largest luminous flux of one LED, as the intensity."""
    return n.light_duty_max * light_at(p, p.flux_high, "max", p.current_max)


@quantity("A")
def current_min_hot(p: Any, n: Any) -> Any:
    """Least current in the hottest air; the fall of the forward voltage there is not counted on."""
    return solve(n, p.vf_high, "max", lowest(n), SEMI_LOG, p.shift_warm)


@quantity("°C")
def tj_dim(p: Any, n: Any) -> Any:
    """Junction at that least current; where it is missing one beyond any rating."""
    volts = string_voltage(n, p.current_min_hot, lowest(n)) / n.in_series
    return known_junction(n, heat.junction(n.ambient_max, p.theta, p.on_share * volts * p.current_min_hot))


@quantity("")
def light_left(p: Any, n: Any) -> Any:
    """Share of the light left at that junction: the next hotter stated row, else as assumed per kelvin."""
    stated = greatest(p.light_factor, lambda row: keep(row.min, p.tj_dim, row.temperature))
    return assume(stated, 1.0 - n.assumed_light_factor * (larger(p.tj_dim, n.t25) - n.t25))


@quantity("cd")
def intensity_hot(p: Any, n: Any) -> Any:
    """Least luminous intensity of one LED in the hottest air, averaged where chopped."""
    return n.light_duty_min * light_at(p, p.iv_low, "min", p.current_min_hot) * p.light_left


@quantity("A")
def if_allowed(p: Any, n: Any) -> Any:
    """Continuous current rating at the hottest air, derated: straight between two stated points.

    A derating curve is flat and then falls straight, so a chord between two of its points lies on it or below. Under
    the first point that one counts.
    """
    stepped = greatest(p.if_max, lambda row: keep(row.max, n.ambient_max, row.temperature))
    return n.k_led_if * prefer(between(p.if_max, "temperature", "max", n.ambient_max, LINEAR), stepped)
