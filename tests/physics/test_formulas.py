"""Every formula: its dimension, that it does not branch, that a missing value stays missing, its words."""

import doctest
import importlib
import inspect
import math
import pkgutil
from collections.abc import Callable, Iterator
from types import ModuleType
from typing import Any

import pint
import pytest

from partcheck import physics
from partcheck.operations import Operation
from partcheck.physics import (
    Number,
    cables,
    capacitors,
    coils,
    conductors,
    gain,
    heat,
    light,
    regulators,
    switching,
    waves,
)
from partcheck.physics.cables import LIGHT_SPEED
from tests.registry import UNITS

Quantity = UNITS.Quantity

# Each formula with an example: values and units of the arguments, and the unit of the result.
V, A, OHM, W, K = "volt", "ampere", "ohm", "watt", "kelvin"
S, H, J, C, F = "second", "henry", "joule", "coulomb", "farad"
ONE, M, M2, TH, CD, LM, HZ = "", "metre", "metre**2", "kelvin/watt", "candela", "lumen", "hertz"
EXAMPLES: dict[Callable[..., Any], tuple[list[tuple[float, str]], str]] = {
    heat.rise: ([(62.5, TH), (2.0, W)], K),
    heat.junction: ([(300.0, K), (62.5, TH), (1.0, W)], K),
    heat.power_allowed: ([(423.0, K), (300.0, K), (62.5, TH)], W),
    heat.derated_power: ([(0.6, W), (0.005, "watt/kelvin"), (323.0, K), (298.0, K)], W),
    heat.square_root_law: ([(28.0, A), (448.0, K), (373.0, K), (298.0, K)], A),
    heat.pulse_rise: ([(20.0, W), (1.5, TH)], K),
    heat.train_share: ([(0.25, ONE), (0.2, ONE)], ONE),
    heat.rating_left: ([(423.0, K), (373.0, K), (298.0, K)], ONE),
    heat.resistor_rating: ([(0.125, W), (343.0, K), (428.0, K), (385.0, K)], W),
    switching.overdrive: ([(4.5, V), (2.0, V)], V),
    switching.channel_drop: ([(10.0, A), (0.1, OHM), (5.0, A), (2.5, V), (2.4, V)], V),
    switching.channel_limit: ([(0.1, OHM), (5.0, A), (2.5, V), (2.4, V)], A),
    switching.divided: ([(5.0, V), (1e3, OHM), (9e3, OHM)], V),
    switching.charge_time: ([(44e-9, C), (100.0, OHM), (4.0, V)], S),
    switching.capacitor_time: ([(1e-9, F), (100.0, OHM), (0.0, V), (5.0, V), (2.0, V)], S),
    switching.below_threshold: ([(1e-3, A), (-0.1, V), (2.0, ONE), (0.025, V)], A),
    switching.lifted_gate: ([(5e-9, C), (1.0, V), (12e3, "volt/second"), (10e3, OHM)], V),
    switching.recovered_charge: ([(2.0, A), (2e-6, S)], C),
    switching.edge_energy: ([(12.0, V), (2.0, A), (1e-6, S)], J),
    coils.winding_resistance: ([(60.0, OHM), (263.0, K), (293.0, K), (0.004, "1/kelvin")], OHM),
    coils.stored_energy: ([(0.1, H), (0.5, A)], J),
    coils.avalanche_energy: ([(0.1, H), (0.5, A), (60.0, V), (12.0, V)], J),
    coils.time_constant: ([(0.1, H), (50.0, OHM)], S),
    cables.wave_impedance_limit: ([(1.5e-6, "henry/metre"), (LIGHT_SPEED, "metre/second")], OHM),
    cables.surge_rise: ([(3.0, A), (2.25e-6, H), (376e-6, F)], V),
    cables.repetition_factor: ([(0.08, OHM), (2.25e-6, H), (376e-6, F)], ONE),
    coils.decay_time_beside: (
        [(0.1, H), (50.0, OHM), (0.5, A), (0.1, A), (24.0, V), (80.0, OHM), (0.0, H), (0.5, V)],
        S,
    ),
    coils.decay_time: ([(0.1, H), (50.0, OHM), (0.5, A), (0.1, A), (24.0, V)], S),
    coils.decayed: ([(0.1, H), (50.0, OHM), (0.5, A), (1e-4, S), (24.0, V)], A),
    coils.clamped_charge: ([(0.1, H), (50.0, OHM), (0.5, A), (1e-4, S), (24.0, V)], C),
    coils.total_charge: ([(0.1, H), (50.0, OHM), (0.5, A), (24.0, V)], C),
    coils.chopped_peak: ([(1.0, A), (0.4, ONE), (0.1, ONE)], A),
    capacitors.charging_peak: ([(12.0, V), (0.5, OHM)], A),
    capacitors.charging_time: ([(0.5, OHM), (100e-6, F)], S),
    gain.base_current: ([(5.0, V), (0.8, V), (4e3, OHM)], A),
    gain.driven_current: ([(4.5, V), (0.8, V), (1e3, OHM), (50.0, OHM), (2e-3, A)], A),
    gain.driven_resistor: ([(4.5, V), (0.8, V), (3.6e-3, A), (50.0, OHM), (2e-3, A)], OHM),
    gain.forced_gain: ([(0.1, A), (0.005, A)], ONE),
    gain.base_needed: ([(0.1, A), (100.0, ONE), (1.3, ONE)], A),
    gain.base_resistor: ([(5.0, V), (0.7, V), (0.002, A)], OHM),
    gain.junction_voltage: ([(0.7, V), (0.002, "volt/kelvin"), (373.0, K), (298.0, K)], V),
    gain.junction_voltage_at_current: ([(0.7, V), (1e-3, A), (2e-3, A), (0.025, V)], V),
    gain.saturation_line: ([(30.0, ONE), (10.0, ONE), (0.2, V), (50.0, ONE), (1.0, V)], V),
    gain.leakage_at: ([(5e-9, A), (298.0, K), (373.0, K), (10.0, K)], A),
    gain.junction_current: (
        [(0.5, V), (0.55, V), (2e-3, A), (343.0, K), (298.0, K), (8.6e-5, "volt/kelvin"), (1.2, V)],
        A,
    ),
    gain.common_emitter_leakage: ([(1e-6, A), (400.0, ONE)], A),
    light.series_current: ([(20.0, V), (2.0, V), (1e3, OHM)], A),
    conductors.copper_resistance: (
        [(10.0, M), (5e-7, M2), (343.0, K), (1.7e-8, "ohm*metre"), (0.004, "1/kelvin"), (293.0, K)],
        OHM,
    ),
    conductors.track_area: ([(2e-3, M), (35e-6, M)], M2),
    conductors.track_rise: ([(1.0, A), (1e-8, M2), (0.048, ONE), (1.0, K), (6.4516e-10, M2), (1.0, A)], K),
    conductors.adiabatic_rise: (
        [
            (4.0, A),
            (1e-8, M2),
            (0.1, S),
            (343.0, K),
            (1.7e-8, "ohm*metre"),
            (0.004, "1/kelvin"),
            (3.45e6, "joule/metre**3/kelvin"),
            (293.0, K),
        ],
        K,
    ),
    conductors.connector_derating: ([(21.9, A), (0.8, ONE)], A),
    conductors.connector_current: ([(21.9, A), (293.0, K), (423.0, K), (363.0, K)], A),
    conductors.pole_share: ([(2e-3, OHM), (3e-3, OHM), (2.0, ONE)], ONE),
    conductors.pole_share_of_more: ([(0.6, ONE), (3.0, ONE)], ONE),
    regulators.regulator_heat: ([(12.0, V), (5.0, V), (0.8, A), (0.005, A)], W),
    regulators.input_needed: ([(5.0, V), (2.5, V)], V),
    regulators.current_by_heat: ([(5.6, W), (12.0, V), (5.0, V), (0.005, A)], A),
    regulators.input_by_heat: ([(5.6, W), (5.0, V), (0.8, A), (0.005, A)], V),
    regulators.adjusted_output: ([(1.25, V), (240.0, OHM), (720.0, OHM)], V),
    waves.sum_rms_aligned: ([(1.0, A), (2.0, A), (0.5, ONE), (0.25, ONE)], A),
}


def call(formula: Callable[..., Any], arguments: list[Any]) -> Any:
    """Call it; the one formula of sequences takes half of the arguments in each."""
    if formula is waves.sum_rms_aligned:
        return formula(arguments[:2], arguments[2:])
    return formula(*arguments)


def modules() -> Iterator[ModuleType]:
    for found in pkgutil.iter_modules(physics.__path__, "partcheck.physics."):
        yield importlib.import_module(found.name)


def public(module: ModuleType) -> Iterator[Callable[..., Any]]:
    for name, member in inspect.getmembers(module, inspect.isfunction):
        if member.__module__ == module.__name__ and not name.startswith("_"):
            yield member


def label(formula: Any) -> str:
    return f"{formula.__module__.split('.')[-1]}.{formula.__name__}"


FORMULAS = pytest.mark.parametrize("formula", EXAMPLES, ids=label)


class Bare:
    """A number that can be calculated with and not looked at."""

    def __init__(self, value: float) -> None:
        self.value = value

    def __add__(self, other: Any) -> "Bare":
        return Bare(self.value + peel(other))

    def __radd__(self, other: Any) -> "Bare":
        return Bare(other + self.value)

    def __sub__(self, other: Any) -> "Bare":
        return Bare(self.value - peel(other))

    def __rsub__(self, other: Any) -> "Bare":
        return Bare(other - self.value)

    def __mul__(self, other: Any) -> "Bare":
        return Bare(self.value * peel(other))

    def __rmul__(self, other: Any) -> "Bare":
        return Bare(other * self.value)

    def __truediv__(self, other: Any) -> "Bare":
        return Bare(self.value / peel(other))

    def __rtruediv__(self, other: Any) -> "Bare":
        return Bare(other / self.value)

    def refuse(self, *_: Any) -> bool:
        raise TypeError("a formula may not look at a value")

    __bool__ = __float__ = __lt__ = __le__ = __gt__ = __ge__ = __eq__ = __ne__ = refuse
    __hash__ = None  # type: ignore[assignment]


def peel(x: Any) -> Any:
    return x.value if isinstance(x, Bare) else x


def _bare(operation: Operation) -> Callable[..., Bare]:
    return lambda *arguments: Bare(operation.plain(*map(peel, arguments)))


def _alike(*arguments: Any) -> None:
    """Raise unless the arguments have one dimension; a plain zero has any."""
    sum(arguments[1:], arguments[0])


def _quantity(operation: Operation) -> Callable[..., Any]:
    def plain(*arguments: Any) -> float:
        units = [Quantity(argument) for argument in arguments]
        return float(operation.plain(*(unit.to("").magnitude for unit in units)))

    def alike(*arguments: Any) -> Any:
        _alike(*arguments)
        kept = [a for a in arguments if isinstance(a, Quantity)]
        return max(kept) if operation.name == "larger" else min(kept)

    def keep(value: Any, low: Any, high: Any) -> Any:
        _alike(low, high)
        return value

    def prefer(first: Any, second: Any) -> Any:
        _alike(first, second)
        return first

    ways: dict[str, Callable[..., Any]] = {
        "sqrt": lambda x: x**0.5,
        "larger": alike,
        "smaller": alike,
        "keep": keep,
        "prefer": prefer,
    }
    return ways.get(operation.name, plain)


for _name in ("sqrt", "ln", "exp", "power", "larger", "smaller", "keep", "prefer"):
    Operation.registry[_name].register(Bare, _bare(Operation.registry[_name]))
    Operation.registry[_name].register(Quantity, _quantity(Operation.registry[_name]))


def test_every_formula_has_an_example() -> None:
    found = {
        member
        for module in modules()
        for member in public(module)
        if inspect.get_annotations(member)["return"] == Number
    }
    assert found == set(EXAMPLES)
    for formula, (arguments, _) in EXAMPLES.items():
        if formula is not waves.sum_rms_aligned:
            assert len(arguments) == len(inspect.signature(formula).parameters), label(formula)


@FORMULAS
def test_dimension(formula: Callable[..., Any]) -> None:
    arguments, unit = EXAMPLES[formula]
    made = call(formula, [Quantity(value, of) for value, of in arguments])
    assert Quantity(made).check(Quantity(1.0, unit).dimensionality), made
    plain = call(formula, [value for value, _ in arguments])
    assert Quantity(made).to(unit).magnitude == pytest.approx(plain)


@FORMULAS
def test_a_wrong_dimension_is_noticed(formula: Callable[..., Any]) -> None:
    """At least the result shows it when the first argument is a mass."""
    arguments, unit = EXAMPLES[formula]
    wrong = [Quantity(value, of) for value, of in arguments]
    wrong[0] = Quantity(arguments[0][0], "kilogram")
    try:
        made = call(formula, wrong)
    except pint.DimensionalityError:
        return
    assert not Quantity(made).check(Quantity(1.0, unit).dimensionality)


@FORMULAS
def test_no_branch(formula: Callable[..., Any]) -> None:
    values = [value for value, _ in EXAMPLES[formula][0]]
    made = call(formula, list(map(Bare, values)))
    assert isinstance(made, Bare)
    assert made.value == call(formula, values)


@FORMULAS
def test_missing_in_missing_out(formula: Callable[..., Any]) -> None:
    values = [value for value, _ in EXAMPLES[formula][0]]
    assert math.isfinite(call(formula, values))
    for place in range(len(values)):
        made = call(formula, [*values[:place], math.nan, *values[place + 1 :]])
        assert math.isnan(made), f"argument {place}"


@pytest.mark.parametrize("module", list(modules()), ids=lambda module: module.__name__)
def test_words(module: ModuleType) -> None:
    """Each function says where it is from and shows a worked line, which is true."""
    assert module.__doc__
    for member in public(module):
        words = member.__doc__ or ""
        assert "Source:" in words, label(member)
        assert ">>>" in words, label(member)
    assert doctest.testmod(module).failed == 0


def test_nothing_heavy_is_imported() -> None:
    for module in modules():
        for imported in vars(module).values():
            if inspect.ismodule(imported):
                assert imported.__name__ == "math", module.__name__
