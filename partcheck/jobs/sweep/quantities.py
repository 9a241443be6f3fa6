"""Circuit quantities that may be adjusted: how one stands, and the board with another value of it.

Each takes one value or an array of values. What a value sets in the board file is told as keys and texts, so that
anyone can write it there and check again.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from partcheck.board import Board
from partcheck.board.fields import LEAST_HIGH, MOST_VOLTS
from partcheck.board.loads import Coil, Motor, Resistive
from partcheck.board.measured import as_stated
from partcheck.board.relations import LEVEL_SLACK, contradictions, contradictions_of
from partcheck.board.resistors import BESIDE, DERATING, other_values, power_key, replaced
from partcheck.situation import Situation
from partcheck.units import Span, show

Path = tuple[str, ...]
HOTTEST, COLDEST = 273.15 + 150.0, 273.15 - 65.0
FAR = 30.0
"""How many times larger or smaller than it stands a quantity is tried."""
HALVINGS = 30


@dataclass(frozen=True)
class Adjustable:
    """One quantity of the circuit.

    ``name`` says what it is; ``key`` is short and stable; ``unit`` SI; ``base`` the value as it stands, NaN where
    it is not stated, and never 0 unless ``linear``, as others are tried in proportion; ``low`` and ``high`` bound what
    is tried. ``apply(board, value)`` is the board with another value. ``keys`` are the paths, with their units, that
    it sets in the board file. ``choices`` are the only values of a quantity that comes in steps. ``of`` is the place,
    load or rail that it belongs to.
    """

    name: str
    key: str
    of: str
    unit: str
    base: float
    low: float
    high: float
    apply: Callable[[Board, Any], Board]
    keys: tuple[tuple[Path, str], ...]
    choices: tuple[float, ...] = ()
    linear: bool = False

    def setting(self, board: Board, value: float) -> list[tuple[str, str]]:
        """The keys that this value sets in the board file, and what to write there."""
        changed = self.apply(board, value)
        texts = [(path, _text(value_at(changed, path), unit)) for path, unit in self.keys]
        stated = [as_stated(board, path, text) for path, text in texts]
        return [(".".join(map(str, path)), text) for path, text in stated]

    def shown(self, value: float) -> str:
        """A value with its unit."""
        return show(value, self.unit)


def value_at(board: Board, path: Path) -> Any:
    """What a board has at a path."""
    node: Any = board
    for name in path:
        node = node[name] if isinstance(node, dict) else getattr(node, name)
    return node


def _text(value: Any, unit: str) -> str:
    """A value as a board file takes it, with every digit."""
    offset = 273.15 if unit == "°C" else 0.0
    if isinstance(value, Span):
        low, typ, high = (_digits(v - offset) for v in value)
        return f"{low}..{typ}..{high} {unit}".strip()
    return f"{_digits(value - offset)} {unit}".strip()


def _digits(value: float) -> str:
    return f"{value:.12g}"


def scaled(span: Span | None, factor: Any) -> Span | None:
    """A range times a factor."""
    return None if span is None else Span(*(end * factor for end in span))


def with_entry(board: Board, table: str, name: str, **update: Any) -> Board:
    """The board with some keys of one of its tables replaced."""
    entries = getattr(board, table)
    return board.model_copy(update={table: {**entries, name: entries[name].model_copy(update=update)}})


# ---- loads


def load_scaled(board: Board, name: str, factor: Any) -> Board:
    """The board with a load that draws ``factor`` times as much: by its resistance, else by its stated current."""
    return with_entry(board, "load", name, **_load_update(board, name, factor))


def _load_update(board: Board, name: str, factor: Any) -> dict[str, Any]:
    load = board.load[name]
    update: dict[str, Any] = {}
    if load.extra_current is not None:
        update["extra_current"] = scaled(load.extra_current, factor)
    if load.current is not None:
        update["current"] = scaled(load.current, factor)
    if isinstance(load, Motor):
        update["stall_current"] = load.stall_current * factor
    ohms = getattr(load, "resistance", None)
    if ohms is not None and (load.current is None or isinstance(load, Coil | Motor | Resistive)):
        update["resistance"] = scaled(ohms, 1.0 / factor)
    return update


_LOAD_UNITS = {"current": "A", "extra_current": "A", "stall_current": "A", "resistance": "Ω"}


def load_current(situation: Situation, name: str) -> Adjustable | None:
    """The worst-case current of a load (all of it on its channel); none of a load that draws nothing."""
    state = situation.load(name)
    base, whole = state.unbroken.value, " without a break" if state.direct.value is not None else ""
    if base == 0:
        return None
    keys = tuple((("load", name, key), _LOAD_UNITS[key]) for key in _load_update(situation.board, name, 1.0))
    return Adjustable(
        f"largest current of {name}{whole}",
        "load-current",
        name,
        "A",
        base,
        base / FAR,
        base * FAR,
        lambda board, value: load_scaled(board, name, value / base),
        keys,
    )


def coil_energy(situation: Situation, name: str) -> Adjustable | None:
    """The energy ½·L·I² of a load at its largest current, by its inductance."""
    state, load = situation.load(name), situation.board.load[name]
    if not isinstance(load, Coil | Motor) or load.inductance is None:
        return None
    base = 0.5 * state.inductance.value * state.largest.value**2
    if not base > 0:
        return None

    def apply(board: Board, value: Any) -> Board:
        return with_entry(
            board,
            "load",
            name,
            inductance=scaled(situation.board.load[name].inductance, value / base),  # type: ignore[union-attr]
        )

    return Adjustable(
        f"coil energy of {name}",
        "coil-energy",
        name,
        "J",
        base,
        base / FAR,
        base * FAR,
        apply,
        ((("load", name, "inductance"), "H"),),
    )


def switching_rate(situation: Situation, name: str) -> Adjustable | None:
    """How often a load is switched off."""
    rate = situation.board.load[name].rate
    if not rate:
        return None
    return Adjustable(
        f"switching rate of {name}",
        "switching-rate",
        name,
        "1/s",
        rate,
        rate / FAR,
        rate,
        lambda board, value: with_entry(board, "load", name, rate=value),
        ((("load", name, "rate"), "1/s"),),
    )


# ---- supplies and drives


def rail_voltage(situation: Situation, name: str) -> Adjustable | None:
    """The typical voltage of a rail from outside; its spread goes along in proportion."""
    span = situation.board.rail[name].voltage
    if span is None:
        return None
    most = MOST_VOLTS * span.typ / span.max
    return Adjustable(
        f"rail {name}",
        "rail-voltage",
        name,
        "V",
        span.typ,
        max(span.typ / FAR, 0.5 * span.typ / span.min),
        most,
        lambda board, value: with_entry(board, "rail", name, voltage=scaled(span, value / span.typ)),
        ((("rail", name, "voltage"), "V"),),
    )


def _highest_level(situation: Situation, name: str) -> float:
    """How high an output may stand at all, V: no higher than what supplies its chip, else than any rail."""
    chip = situation.board.chip.get(situation.board.drive[name].chip or "")
    rails = [chip.supply] if chip is not None and chip.supply is not None else list(situation.board.rail)
    known = [value for rail in rails if (value := situation.rail(rail).largest.value) == value]
    return min(LEVEL_SLACK * max(known), MOST_VOLTS) if known else MOST_VOLTS


def drive_level(situation: Situation, name: str) -> Adjustable | None:
    """The least high level of a drive; its spread goes along in proportion, so not from 0 V."""
    span = situation.board.drive[name].high
    if not span.min > 0:
        return None
    return Adjustable(
        f"least high level of {name}",
        "drive-level",
        name,
        "V",
        span.min,
        max(span.min / FAR, LEAST_HIGH),
        max(span.min, min(span.min * 8, _highest_level(situation, name) * span.min / span.max)),
        lambda board, value: with_entry(board, "drive", name, high=scaled(span, value / span.min)),
        ((("drive", name, "high"), "V"),),
    )


# ---- air and heat


def hottest_air(situation: Situation) -> Adjustable:
    """The hottest air."""
    span = situation.board.surroundings.ambient

    def apply(board: Board, value: Any) -> Board:
        return _with_ambient(board, Span(span.min, (span.min + value) / 2, value))

    return Adjustable(
        "hottest air",
        "ambient-max",
        "",
        "°C",
        span.max,
        span.min,
        HOTTEST,
        apply,
        ((("surroundings", "ambient"), "°C"),),
        linear=True,
    )


def coldest_air(situation: Situation) -> Adjustable:
    """The coldest air."""
    span = situation.board.surroundings.ambient

    def apply(board: Board, value: Any) -> Board:
        return _with_ambient(board, Span(value, (span.max + value) / 2, span.max))

    return Adjustable(
        "coldest air",
        "ambient-min",
        "",
        "°C",
        span.min,
        COLDEST,
        span.max,
        apply,
        ((("surroundings", "ambient"), "°C"),),
        linear=True,
    )


def _with_ambient(board: Board, span: Span) -> Board:
    return board.model_copy(update={"surroundings": board.surroundings.model_copy(update={"ambient": span})})


def heat_path(situation: Situation, ref: str) -> Adjustable | None:
    """The thermal resistance of a place as mounted: more copper makes it less."""
    if "theta" not in situation.facts(ref).role.quantities or situation.fitted.get(ref) is None:
        return None
    base = situation.quantity(ref, "theta").value
    if base == 0:
        return None
    known = base == base
    return Adjustable(
        f"theta_ja of {ref} as mounted",
        "theta",
        ref,
        "K/W",
        base,
        base / FAR if known else 1.0,
        base if known else 1000.0,
        lambda board, value: with_entry(board, "role", ref, theta_ja=value),
        ((("role", ref, "theta_ja"), "K/W"),),
    )


# ---- resistors


def resistors(situation: Situation, ref: str) -> Iterator[Adjustable]:
    """The resistors beside a part, in preferred values of the board's series, with their replacement's tolerance."""
    board, place = situation.board, situation.board.role[ref]
    for key in BESIDE.get(place.role, ()):
        span = getattr(place, key)
        if span is not None:
            yield _resistor(board, ref, key, span)


def _resistor(board: Board, ref: str, key: str, span: Span) -> Adjustable:
    values = tuple(other_values(board, span, FAR))
    paths: list[tuple[Path, str]] = [(("role", ref, key), "Ω")]
    if getattr(board.role[ref], power_key(key), None) is not None:
        paths += [(("role", ref, power_key(key)), "W"), *((("role", ref, name), "°C") for name in DERATING)]

    def apply(changed: Board, value: Any) -> Board:
        update = replaced(board.role[ref], key, value, board.replacement_resistor)
        return with_entry(changed, "role", ref, **update)

    words = key.replace("_", "-") if key != "resistor" else "series resistor"
    return Adjustable(
        f"{words.replace('-resistor', ' resistor')} of {ref}",
        key.replace("_", "-"),
        ref,
        "Ω",
        span.typ,
        span.typ / FAR,
        span.typ * FAR,
        apply,
        tuple(paths),
        values,
    )


def adjustables(situation: Situation) -> list[Adjustable]:
    """Every quantity of a board that may be adjusted alone."""
    board = situation.board
    made: list[Adjustable | None] = []
    for name in board.load:
        made += [load_current(situation, name), coil_energy(situation, name), switching_rate(situation, name)]
    made += [rail_voltage(situation, name) for name in board.rail]
    made += [drive_level(situation, name) for name in board.drive]
    made += [hottest_air(situation), coldest_air(situation)]
    for ref in board.role:
        made += [heat_path(situation, ref), *resistors(situation, ref)]
    sound = next(contradictions(board), None) is None
    return [allowed(board, a, sound) for a in made if a is not None and (math.isfinite(a.base) or a.key == "theta")]


def allowed(board: Board, quantity: Adjustable, sound: bool = False) -> Adjustable:
    """The same quantity, tried no further than a board file may state it beside what else stands there.

    On a ``sound`` board, which contradicts itself nowhere, only the rules of what a value changes are asked.
    """

    def fits(value: float) -> bool:
        changed = quantity.apply(board, value)
        rules = contradictions_of(changed, [path for path, _ in quantity.keys]) if sound else contradictions(changed)
        return next(rules, None) is None

    if quantity.base != quantity.base or not fits(quantity.base):
        return quantity
    if quantity.choices:
        return replace(quantity, choices=tuple(filter(fits, quantity.choices)))
    low, high = (end if fits(end) else _last(fits, quantity.base, end) for end in (quantity.low, quantity.high))
    return replace(quantity, low=low, high=high)


def _last(fits: Callable[[float], bool], inside: float, outside: float) -> float:
    """The value next to the boundary between one that fits and one that does not."""
    for _ in range(HALVINGS):
        middle = (inside + outside) / 2
        inside, outside = (middle, outside) if fits(middle) else (inside, middle)
    return inside
