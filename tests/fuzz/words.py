"""Numbers, unit texts and names: in range, at its ends, and far out of it."""

from functools import cache

from hypothesis import strategies as st

from partcheck.board.fields import K0, measure_of
from partcheck.board.models import Board
from partcheck.units.quantity import labels_of
from tests.every_key import declared

UNITS = (
    "V",
    "A",
    "Ω",
    "H",
    "F",
    "s",
    "Hz",
    "W",
    "K/W",
    "°C",
    "K",
    "m",
    "m²",
    "cd",
    "°",
    "lm",
    "C",
    "J",
    "1/s",
    "A²s",
    "",
)
_NUMBERS = (
    "0",
    "1",
    "-1",
    "12",
    "4.7",
    "0.1",
    ".5",
    "5.",
    "1e3",
    "1e308",
    "1e999",
    "-1e-320",
    "4k7",
    "2R2",
    "1,5",
    "1,000",
    "1_000",
    "1 000",
    "inf",
    "nan",
    "٣",
    "½",
    "10^3",
    "0x1f",
    "9" * 90,
    "1e",
    "e5",
    "--1",
    "+",
    "∞",
    "00012",
    "1.2.3",
)
_JOINTS = (
    "",
    " ",
    "..",
    "...",
    "±",
    " ± ",
    "+",
    "-",
    " +5 % -10 %",
    "%",
    " @ ",
    "/",
    ";",
    ",",
    " to ",
    "~",
    "(",
    ")",
    "\t",
    "\n",
    "\u00a0",
    "\u2009",
    "=",
    "max",
    "min",
    "typ",
    "<",
    "≤",
    "ppm",
    "kmMµnpGT",
    "\0",
    "\ud800",
    "\U0001f50c",
)
WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
NAMES = st.sampled_from(
    [
        "Q1",
        "D1",
        "FV1",
        "V12",
        "V5",
        "U1",
        "U2",
        "PUMP",
        "Q1..Q3",
        "FV{n}",
        "D1..D0",
        "Q1, Q2",
        "",
        " ",
        ".",
        "Q1.x",
        "like",
    ]
)


@cache
def _labels() -> list[str]:
    return sorted({label for unit in UNITS for label in labels_of(unit)})


@cache
def unit_texts() -> st.SearchStrategy[str]:
    """Texts such as a person types for a value, and such as nobody would."""
    numbers, joints, labels = map(st.sampled_from, (_NUMBERS, _JOINTS, _labels()))
    quantity = st.tuples(numbers, st.sampled_from(["", " "]), labels).map("".join)
    loose = st.lists(st.one_of(quantity, numbers, joints, labels, WORDS), max_size=6).map("".join)
    ranges = st.tuples(quantity, st.sampled_from(["..", " ±", "/", " +", "..1..", " @ "]), quantity).map("".join)
    return st.one_of(quantity, ranges, loose)


@cache
def scalars() -> st.SearchStrategy[object]:
    """A number, truth or text where anything may be expected."""
    return st.one_of(
        st.sampled_from([0, 1, -1, 2**31, 2**63, 10**300, 0.0, -0.0, 1e308, 5e-324, float("inf"), float("nan")]),
        st.integers(-1000, 1000),
        st.floats(),
        st.booleans(),
        unit_texts(),
        WORDS,
        NAMES,
        st.integers(60, 3000).map(lambda n: "x" * n),
    )


@cache
def anything() -> st.SearchStrategy[object]:
    """A value of any shape."""
    return st.recursive(
        scalars(),
        lambda inner: st.one_of(
            st.lists(inner, max_size=4), st.dictionaries(st.one_of(keys(), WORDS), inner, max_size=3)
        ),
        max_leaves=6,
    )


@cache
def _measures() -> dict[str, list[tuple[str, bool, float, float]]]:
    found: dict[str, list[tuple[str, bool, float, float]]] = {}
    for label, field in declared().items():
        if (measure := measure_of(field.annotation, field.metadata)) is not None:
            found.setdefault(label.rpartition(".")[2], []).append(measure)
    return found


@cache
def keys() -> st.SearchStrategy[str]:
    """A key that some table of a board has."""
    return st.sampled_from(sorted({*Board.model_fields, *(label.rpartition(".")[2] for label in declared())}))


@cache
def within(low: float, high: float, unit: str) -> st.SearchStrategy[str]:
    """A value between two ends as it is written, the ends most of all."""
    spans = [low, high, low + (high - low) * 1e-6, (low + high) / 2]
    if low > 0 and unit != "°C":
        spans.append((low * high) ** 0.5)
    numbers = st.one_of(st.sampled_from(spans), st.floats(low, high))
    return numbers.map(lambda value: f"{value - K0 if unit == '°C' else value!r} {unit}".strip())


@cache
@st.composite
def fitting(draw: st.DrawFn, key: str) -> object:
    """A value in the range of a key of a board; anything where it has none."""
    known = _measures().get(key)
    if not known:
        return draw(anything())
    unit, spread, low, high = draw(st.sampled_from(known))
    text = draw(within(low, high, unit))
    how = draw(st.integers(0, 3)) if spread else 0
    if how == 1:
        return {"min": text, "max": draw(within(low, high, unit))}
    return f"{text} ±5 %" if how == 2 and unit not in ("°C", "") else text
