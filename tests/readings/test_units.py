"""Reading and showing numbers with units: what is read, and above all what is refused."""

import doctest
import importlib
import math
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from partcheck import units
from partcheck.errors import ValueSlip
from partcheck.units import (
    UNITS,
    Span,
    awg_area,
    json_unit,
    known,
    parse,
    parse_span,
    show,
    show_span,
    suggest,
    to_json,
)

pytestmark = pytest.mark.filterwarnings("error")

MM2_PER_IN2 = 25.4**2

READ = [
    # spellings of one value
    ("28 mΩ", "Ω", 0.028), ("28mOhm", "Ω", 0.028), ("28 mohm", "Ω", 0.028), ("0.028", "Ω", 0.028),
    ("2.8e-2", "Ω", 0.028), ("28 m\u2126", "Ω", 0.028), ("28\u00a0mΩ", "Ω", 0.028), ("28m", "Ω", 0.028),
    ("28\u2009mΩ", "Ω", 0.028), (0.028, "Ω", 0.028), (" 28 mΩ ", "Ω", 0.028), ("470M", "Ω", 470e6),
    ("10 \u00b5F", "F", 1e-5), ("10 \u03bcF", "F", 1e-5), ("10 uF", "F", 1e-5), ("10u", "F", 1e-5),
    ("4n7", "F", 4.7e-9), ("4u7", "F", 4.7e-6), ("100p", "F", 1e-10), ("4n7F", "F", 4.7e-9),
    ("4m7", "H", 4.7e-3), ("10u", "H", 1e-5), ("4k7", "Ω", 4700.0), ("4k7 Ω", "Ω", 4700.0),
    ("1.5k", "V", 1500.0), ("+3.3 V", "V", 3.3), ("\u22125 V", "V", -5.0), (".5 V", "V", 0.5),
    (12, "V", 12.0),
    # one of every other unit
    ("20 mA", "A", 0.02), ("250 mW", "W", 0.25), ("45 nC", "C", 45e-9), ("30 mJ", "J", 0.03),
    ("20 ms", "s", 0.02), ("5 min", "s", 300.0), ("20 kHz", "Hz", 20e3), ("40 K", "K", 40.0),
    ("85 °C", "°C", 358.15), ("85 degC", "°C", 358.15), ("85", "°C", 358.15), (85, "°C", 358.15),
    ("358.15 K", "°C", 358.15), ("-40 \u2103", "°C", 233.15), ("62 °C/W", "K/W", 62.0),
    ("-2 mV/K", "V/K", -0.002), ("50 ppm/K", "1/K", 5e-5), ("0.39 %/°C", "1/K", 0.0039), ("5 S", "A/V", 5.0),
    ("5 mm", "m", 0.005), ("530 nm", "m", 530e-9), ("35 µm", "m", 35e-6), ("0.1 in", "m", 2.54e-3),
    ("5m", "m", 5.0), ("10 mil", "m", 254e-6),
    ("1.2 mm2", "m²", 1.2e-6), ("1.2 mm²", "m²", 1.2e-6), ("6 cm²", "m²", 6e-4), ("1 m²", "m²", 1.0),
    ("800 mcd", "cd", 0.8), ("500 mlm", "lm", 0.5), ("120°", "°", 120.0), ("120 deg", "°", 120.0),
    ("50 %", "", 0.5), ("0.5", "", 0.5), ("0.5 Nm", "N·m", 0.5), ("50 cd", "cd", 50.0),
    ("34 mΩ/m", "Ω/m", 0.034), ("34 Ω/km", "Ω/m", 0.034), ("0.7 µH/m", "H/m", 0.7e-6),
    ("50 A²s", "A²s", 50.0), ("50 A2s", "A²s", 50.0),
    ("2 /s", "1/s", 2.0), ("2 1/s", "1/s", 2.0), ("2 Hz", "1/s", 2.0), ("120 /min", "1/s", 2.0),
    ("36 /h", "1/s", 0.01),
]  # fmt: skip

# (text, unit, a word of the reason or of the advice)
REFUSED: list[tuple[Any, str, str]] = [
    ("1,5 V", "V", "write 1.5 V"), ("1,500 V", "V", "thousands separator or a decimal comma; write 1500 V or 1.500 V"),
    ("0,025 V", "V", "a comma is not a decimal point; write 0.025 V"), ("-0,025", "V", "write -0.025"),
    ("1,500.5", "V", "thousands separator; write 1500.5"), ("1.500,5 V", "V", "write 1500.5 V"),
    ("1,500,000 V", "V", "write 1500000 V"), ("00,025", "V", "write 00.025"), ("1 000,5 V", "V", "write 1000.5 V"),
    ("1 000,500 V", "V", "write 1000.500 V"), ("1,500,5 V", "V", "separator; write for example"),
    ("1,500'000 V", "V", "separator; write for example"),
    ("1 000 V", "V", "thousands"),
    ("1\u202f000 V", "V", "thousands"), ("1'000 V", "V", "thousands"), ("1_000", "V", "1000"),
    ("1_0 V", "V", "underscore"), ("\uff11\uff12 V", "V", "write 12 V"), ("\u0661\u0662 V", "V", "12 V"),
    ("5² V", "V", "unit"), ("½ V", "V", "number"), ("", "V", "empty"), ("  ", "V", "empty"),
    ("nan", "V", "finite"), ("inf V", "V", "finite"), ("-∞", "V", "finite"), ("1e400 V", "V", "finite"),
    (math.nan, "V", "finite"), (math.inf, "V", "finite"), (10**400, "V", "finite"),
    ("28 V", "Ω", "voltage"), ("5 foo", "V", "'foo'"), ("5 V 6 V", "V", "one number"),
    ("12 V ±5 %", "V", "one number"), ("5 V max", "V", "'V max'"), ("V", "V", "number"),
    ("5 . V", "V", "unit"),
    ("5. V", "V", "unit"), ("--5 V", "V", "number"), ("- 5 V", "V", "number"), ("5 V\n6", "V", "one number"),
    (True, "V", "neither"), (None, "V", "neither"), (b"5 V", "V", "neither"), ("0x10", "V", "one number"),
    ("3V3", "V", "write 3.3 V"), ("5 v", "V", "write 5 V"), ("5 mv", "V", "unit"), ("5 m", "V", "length"),
    ("20 khz", "Hz", "write 20 kHz"), ("20 mhz", "Hz", "unit"),
    ("25 C", "°C", "write 25 °C"), ("25 °", "°C", "angle"), ("77 F", "°C", "capacitance"),
    ("358 k", "°C", "write 358 K"), ("-274 °C", "°C", "absolute zero"), ("-1 K", "°C", "absolute zero"),
    ("25 °C", "K", "write 25 K"), ("5m", "s", "write 5 ms"), ("5 m", "s", "minutes"),
    ("50 %", "V", "plain number"), ("5k", "", "unit"), ("5k", "°C", "spelled"), ("1.5K", "Ω", "1.5 k"),
    ("47 K", "Ω", "47 k"),
    ("4K7K", "Ω", "write 4K7"), ("4R7", "V", "one number"), ("4k7", "F", "write 4.7 k"),
    ("4k7", "V", "letter"), ("R", "Ω", "number"), ("47E", "Ω", "'E'"),
    ("5", "m", "unit"), (5, "m", "unit"), (1.5, "m²", "unit"), ("5 mm", "m²", "length"),
    ("5 Mm", "m", "write 5 mm"),
    ("00 AWG", "m²", "gauge"), ("-1 AWG", "m²", "gauge"), ("20.5 AWG", "m²", "gauge"),
    ("41 AWG", "m²", "gauge"),
    ("2e3001/s", "1/s", "one number"), ("1" * 81 + " V", "V", "longer"), ("5 " * 50, "V", "longer"),
]  # fmt: skip


def number_for(unit: str) -> st.SearchStrategy[float]:
    low = 0.01 if unit == "°C" else 1e-11
    return st.floats(low, 1e8) | st.floats(0.001, 1e4)


def one_sentence(slip: ValueSlip) -> str:
    text = str(slip)
    assert text.strip() and len(text.splitlines()) == 1 and text.isprintable()
    return text


@pytest.mark.parametrize(("text", "unit", "value"), READ)
def test_reads(text: str | float, unit: str, value: float) -> None:
    assert parse(text, unit) == value
    assert parse_span(text, unit) == Span(value, value, value)


@pytest.mark.parametrize(("text", "unit", "word"), REFUSED)
def test_refuses_with_a_sentence(text: Any, unit: str, word: str) -> None:
    with pytest.raises(ValueSlip) as slip:
        parse(text, unit)
    sentence = one_sentence(slip.value)
    assert word in sentence
    assert UNITS[unit].meaning in sentence and "write " in sentence


@pytest.mark.parametrize("unit", [unit for unit in UNITS if unit])
def test_the_example_in_a_refusal_can_be_read(unit: str) -> None:
    assert math.isfinite(parse(UNITS[unit].example, unit))


def test_decimal_comma_is_not_fifteen_volts() -> None:
    """A parser that drops the comma reads 1,5 V as 15 V."""
    with pytest.raises(ValueSlip, match=r"write 1\.5 V"):
        parse("1,5 V", "V")


def test_470r_is_not_a_gas_constant() -> None:
    """A parser that knows R only as the molar gas constant reads 470R as 4.7e29 of something."""
    assert parse("470R", "Ω") == 470.0


@pytest.mark.parametrize(
    ("code", "ohms"),
    # IEC 60062:2016 examples as reprinted in an encyclopaedia article; search excerpt seen.
    [("R47", 0.47), ("4R7", 4.7), ("470R", 470.0), ("4K7", 4700.0), ("47K", 47000.0), ("47K3", 47300.0),
     ("470K", 470000.0), ("4M7", 4.7e6)],
)  # fmt: skip
def test_resistance_codes(code: str, ohms: float) -> None:
    assert parse(code, "Ω") == ohms
    assert parse_span(code, "Ω").exact


@pytest.mark.parametrize(
    ("letter", "percent"),
    # IEC 60062, from memory.
    [("B", 0.1), ("C", 0.25), ("D", 0.5), ("F", 1), ("G", 2), ("J", 5), ("K", 10), ("M", 20)],
)
def test_tolerance_letters(letter: str, percent: float) -> None:
    span = parse_span(f"4K7{letter}", "Ω")
    assert span == pytest.approx((4700 * (1 - percent / 100), 4700, 4700 * (1 + percent / 100)))
    with pytest.raises(ValueSlip, match="tolerance"):
        parse(f"4K7{letter}", "Ω")


def test_the_place_of_k_decides() -> None:
    assert parse_span("47K", "Ω") == Span(47e3, 47e3, 47e3)
    assert parse_span("47KK", "Ω") == pytest.approx((42300, 47000, 51700))
    assert parse_span("47M", "Ω").exact
    for unit_of_another_kind in ("47MF", "47mF", "10kJ", "10MJ", "47F", "47J"):
        with pytest.raises(ValueSlip, match="belongs to"):
            parse_span(unit_of_another_kind, "Ω")


@pytest.mark.parametrize(
    ("gauge", "inches"),
    # ASTM B258 as reprinted in published wire tables.
    [(12, 0.0808), (18, 0.0403), (20, 0.0320), (22, 0.0253), (24, 0.0201), (26, 0.0159), (30, 0.0100)],
)
def test_wire_gauges(gauge: int, inches: float) -> None:
    area = parse(f"{gauge} AWG", "m²")
    assert math.sqrt(area * 4 / math.pi) / 0.0254 == pytest.approx(inches, abs=0.00005)
    assert area == parse(f"AWG {gauge}", "m²") == awg_area(gauge)
    assert area * 1e6 == pytest.approx(math.pi * inches**2 / 4 * MM2_PER_IN2, rel=0.01)


def test_six_gauges_double_the_diameter() -> None:
    """ASTM B258: six gauges are a ratio of diameters of 2.005, so 4.02 in area."""
    assert math.sqrt(awg_area(20) / awg_area(26)) == pytest.approx(2.005, abs=0.0005)


@pytest.mark.parametrize(
    ("text", "unit", "span"),
    [
        ("12 V ±5 %", "V", (11.4, 12.0, 12.6)), ("12V±5%", "V", (11.4, 12.0, 12.6)),
        ("12 V +10 % -5 %", "V", (11.4, 12.0, 13.2)), ("12 V -5 % +10 %", "V", (11.4, 12.0, 13.2)),
        ("12 V +10 %/-5 %", "V", (11.4, 12.0, 13.2)), ("12 V +/-0.5 V", "V", (11.5, 12.0, 12.5)),
        ("-12 V ±5 %", "V", (-12.6, -12.0, -11.4)), ("10 kΩ ± 1 %", "Ω", (9900.0, 10e3, 10100.0)),
        ("25 MHz ±50 ppm", "Hz", (24998750.0, 25e6, 25001250.0)), ("0.5 ±0.1", "", (0.4, 0.5, 0.6)),
        ("-10..45 °C", "°C", (263.15, 290.65, 318.15)), ("-10…45 °C", "°C", (263.15, 290.65, 318.15)),
        ("85 °C ±2 K", "°C", (356.15, 358.15, 360.15)), ("85 °C ±2 °C", "°C", (356.15, 358.15, 360.15)),
        ("11.4..12..12.6 V", "V", (11.4, 12.0, 12.6)), ("4.5 V .. 5.5 V", "V", (4.5, 5.0, 5.5)),
        ("20..50 mΩ", "Ω", (0.02, 0.035, 0.05)), ("20..50m", "Ω", (0.02, 0.035, 0.05)),
        ("450 mV..5.5 V", "V", (0.45, 2.975, 5.5)), ("R47..1R", "Ω", (0.47, 0.735, 1.0)),
        ("2..5 1/s", "1/s", (2.0, 3.5, 5.0)), ("20..50 %", "", (0.2, 0.35, 0.5)),
        ("4..6", "V", (4.0, 5.0, 6.0)),
        ({"min": 1, "max": "3 V"}, "V", (1.0, 2.0, 3.0)),
        ({"min": "1 V", "typ": "1.2 V", "max": "3 V"}, "V", (1.0, 1.2, 3.0)),
    ],
)  # fmt: skip
def test_spans(text: Any, unit: str, span: tuple[float, float, float]) -> None:
    read = parse_span(text, unit)
    assert read == span  # to the last bit: 11.399999999999999 would miss a limit of 11.4
    assert not read.exact


def test_a_range_of_gauges() -> None:
    assert parse_span("26..12 AWG", "m²")[::2] == (awg_area(26), awg_area(12))


@pytest.mark.parametrize(
    ("text", "unit", "word"),
    [
        ("0...5 V", "V", "two dots"), ("5..4 V", "V", "write 4..4.5..5 V"), ("1..9..3 V", "V", "do not rise"),
        ("1..2..3..4 V", "V", "two or three"), ("..5 V", "V", "two or three"), ("5 V..", "V", "two or three"),
        ("1..2 V ±5 %", "V", "no tolerance"), ("450 mV..5.5", "V", "which unit"),
        ("47..100R", "Ω", "which unit"),
        ("12 ±0.5 V", "V", "which unit"), ("12 V ±0.5", "V", "which unit"),
        ("12 V +10/-5 %", "V", "which unit"),
        ("12 V ±-5 %", "V", "sign"), ("12 V ±", "V", "unit"), ("±5 V", "V", "number"),
        ("1 V ±2 V ±3 V", "V", "write"),
        ("25 °C ±5 %", "°C", "±2 K"), ("1 K ±2 K", "°C", "absolute"),
        ("50 % ±5 %", "", "range"), ("12 V ±1 A", "V", "current"),
        ("10 kΩ 1%", "Ω", "write 10 kΩ ±1%"), ("12 V +10 %", "V", "write 12 V ±10 %"),
        ("12 V +5 % +3 %", "V", "write"),
        ("20-50 mΩ", "Ω", "write 20..50 mΩ"), ("20–50 mΩ", "Ω", "write 20..50 mΩ"),
        ("4 to 5 V", "V", "4..5 V"),
        ("1,5..2 V", "V", "comma"), ("5..6", "m", "unit"), ("4K7 K", "Ω", "write"),
        ("4K7K ±5 %", "Ω", "tolerance"),
        ({"min": 1}, "V", "no max"), ({"max": 1}, "V", "no min"), ({}, "V", "no min"),
        ({"min": 3, "max": 1}, "V", "rise"),
        ({"min": 1, "max": 2, "nom\n": 1}, "V", "keys"), ({"min": 1, "max": 2, "typ": None}, "V", "neither"),
        (True, "V", "neither"), (None, "V", "neither"),
    ],
)  # fmt: skip
def test_spans_refused(text: Any, unit: str, word: str) -> None:
    with pytest.raises(ValueSlip) as slip:
        parse_span(text, unit)
    assert word in one_sentence(slip.value)


@pytest.mark.parametrize("reader", [parse, parse_span, show, to_json])
def test_a_unit_nobody_knows(reader: Any) -> None:
    with pytest.raises(ValueSlip, match="'furlong' is not a unit known here"):
        reader(1.0, "furlong")


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.0085, "Ω", "8.5 mΩ"), (1200.0, "Ω", "1.2 kΩ"), (0.0, "V", "0 V"), (-0.0, "V", "0 V"),
        (-5.0, "V", "-5 V"),
        (0.99996, "Ω", "1 Ω"), (999.96e-6, "F", "1 mF"), (0.9999, "Ω", "999.9 mΩ"), (1e-13, "F", "0.1 pF"),
        (233.15, "°C", "-40 °C"), (273.15 + 1e-13, "°C", "0 °C"), (6e-7, "m²", "0.6 mm²"),
        (0.125, "", "0.125"),
        (635e-9, "m", "635 nm"), (0.05, "m", "50 mm"), (0.99999, "m", "1 m"), (35e-6, "m", "0.035 mm"),
        (0.0, "m", "0 mm"),
        (120.0, "°", "120°"), (2.0, "1/s", "2 /s"), (200000.0, "1/s", "200000 /s"),
        (0.00393, "1/K", "0.00393 /K"),
        (3600.0, "s", "3600 s"), (62.0, "K/W", "62 K/W"), (0.034, "Ω/m", "34 mΩ/m"), (4.7e-6, "H", "4.7 µH"),
        (math.inf, "V", "∞ V"), (-math.inf, "Ω", "−∞ Ω"), (math.nan, "V", "?"), (None, "°C", "?"),
        (1.79e308, "V", "1.79e296 TV"),
    ],
)  # fmt: skip
def test_shows(value: float | None, unit: str, text: str) -> None:
    assert show(value, unit) == text


def test_shows_the_greatest_float() -> None:
    assert show(1.7976931348623157e308, "V") == "∞ V"  # four digits of it are beyond the floats


def test_shows_as_many_digits_as_asked() -> None:
    assert [show(4.7123456, "V", digits) for digits in (1, 3, 6)] == ["5 V", "4.71 V", "4.71235 V"]


@pytest.mark.parametrize(
    ("text", "unit", "shown"),
    [
        ("12 V", "V", "12 V"), ("12 V ±5 %", "V", "11.4..12..12.6 V"),
        ("-10..45 °C", "°C", "-10..17.5..45 °C"),
        ("1 mΩ..1 kΩ", "Ω", "1 mΩ..500 Ω..1 kΩ"), ("0..5 V", "V", "0..2.5..5 V"),
        ("10..30°", "°", "10..20..30°"),
        ("25 MHz ±50 ppm", "Hz", "24.99875..25..25.00125 MHz"), ("4K7K", "Ω", "4.23..4.7..5.17 kΩ"),
    ],
)  # fmt: skip
def test_shows_spans(text: str, unit: str, shown: str) -> None:
    assert show_span(parse_span(text, unit), unit) == shown


def test_shows_spans_with_holes() -> None:
    assert show_span(Span(math.nan, 5.0, math.inf), "V") == "?..5 V..∞ V"
    assert show_span(Span(math.nan, math.nan, math.nan), "V") == "?"
    assert show_span(Span(math.inf, math.inf, math.inf), "V") == "∞ V"


@pytest.mark.parametrize(
    ("value", "unit", "low", "high", "text"),
    [
        (28.0, "Ω", 1e-4, 1.0, "28 mΩ"), (470e6, "Ω", 1e-3, 10.0, "470 mΩ"), (10.0, "F", 1e-6, 1e-3, "10 µF"),
        (0.012, "V", 1.0, 60.0, "12 V"), (50.0, "", 0.0, 1.0, "50 %"), (1.5, "m²", 1e-7, 1e-4, "1.5 mm²"),
        (28.0, "Ω", 1.0, 100.0, None), (28.0, "Ω", 1.0, 2.0, None), (300.0, "°C", 0.0, 1.0, None),
        (0.0, "V", 1.0, 2.0, None), (math.nan, "V", 1.0, 2.0, None), (500.0, "", 0.0, 1.0, None),
    ],
)  # fmt: skip
def test_suggests_a_slipped_prefix(value: float, unit: str, low: float, high: float, text: str | None) -> None:
    assert suggest(value, unit, low, high) == text
    assert text is None or low <= parse(text, unit) <= high


def test_json_numbers() -> None:
    assert to_json(233.15, "°C") == -40.0 and json_unit("°C") == "°C"
    assert to_json(0.005, "m") == 0.005 and json_unit("m") == "m"
    assert [to_json(hole, "V") for hole in (None, math.nan, math.inf, -math.inf)] == [None] * 4


def test_a_label_means_one_thing_within_its_unit() -> None:
    for symbol, unit in UNITS.items():
        assert unit.symbol == symbol
        names = {letter + name for letter in known.PREFIXES for name in unit.spellings if unit.prefixed}
        assert not names & ({*unit.spellings} | {*unit.extra})


def test_the_examples_in_the_docstrings() -> None:
    names = ("known", "quantity", "reading", "refusing", "showing")
    modules = [units, *(importlib.import_module(f"partcheck.units.{name}") for name in names)]
    results = [doctest.testmod(module) for module in modules]
    assert sum(result.attempted for result in results) >= 7 and not any(result.failed for result in results)


@pytest.mark.parametrize("text", ["24 VDC", "24 V DC", "24V dc", "24 V d.c.", "24 V"])
def test_a_direct_voltage_may_say_so(text: str) -> None:
    assert parse(text, "V") == 24.0
    assert parse_span(f"{text} ±5 %", "V").max == pytest.approx(25.2)


@pytest.mark.parametrize("text", ["24 VAC", "230 V~", "24 V AC", "24 Vrms", "~24 V", "24 V a.c.", "24 VAC ±5 %"])
def test_an_alternating_voltage_is_refused_and_quoted(text: str) -> None:
    for read in (parse, parse_span):
        with pytest.raises(ValueSlip, match="licensed work") as said:
            read(text, "V")
        assert text in str(said.value)


@given(st.data(), st.sampled_from(list(UNITS)), st.booleans())
def test_what_is_shown_can_be_read_back(data: st.DataObject, unit: str, negative: bool) -> None:
    value = data.draw(number_for(unit)) * (-1 if negative and unit != "°C" else 1)
    text = show(value, unit)
    if unit == "°C":
        assert parse(text, unit) - 273.15 == pytest.approx(value - 273.15, rel=5.1e-4, abs=1e-6)
    else:
        assert parse(text, unit) == pytest.approx(value, rel=5.1e-4)


@given(number_for("Ω"), st.sampled_from([unit.symbol for unit in UNITS.values() if unit.prefixed]))
def test_a_prefix_leaves_one_to_999(value: float, unit: str) -> None:
    assert 1.0 <= float(show(value, unit).split()[0]) < 1000.0 or unit == "s"


@given(
    st.tuples(st.floats(1e-6, 1e6), st.floats(1e-6, 1e6), st.floats(1e-6, 1e6)),
    st.sampled_from([unit for unit in UNITS if unit != "°C"]),
)
def test_a_shown_span_can_be_read_back(values: tuple[float, float, float], unit: str) -> None:
    span = Span(*sorted(values))
    assert parse_span(show_span(span, unit), unit) == pytest.approx(span, rel=5.1e-4)


PIECES = st.lists(
    st.sampled_from([*"0123456789.,+-±% _KRMkmnµΩVFHCJ°/²\u2212\u00a0\n\uff11", "..", "mΩ", "°C", "AWG", "e", "1/s"]),
    max_size=12,
).map("".join)


@given(st.text(max_size=30) | PIECES, st.sampled_from(list(UNITS)))
@example("1" * 5000, "V")
@example("5 " * 50_000, "V")
@example("1e" + "9" * 5000, "V")
@example("\ud800", "V")
@example("5\u2028V", "V")
def test_any_text_is_read_or_refused(text: str, unit: str) -> None:
    try:
        assert math.isfinite(parse(text, unit))
    except ValueSlip as slip:
        one_sentence(slip)


@given(st.text(max_size=30) | PIECES, st.sampled_from(list(UNITS)))
@example("1e308..1.7e308 V", "V")
@example("5 - " * 50_000, "V")
@example("1.23456789012345678 V ±0 %", "V")
@example("1.7e308 V ±50 %", "V")
def test_any_span_rises_or_is_refused(text: str, unit: str) -> None:
    try:
        span = parse_span(text, unit)
    except ValueSlip as slip:
        one_sentence(slip)
    else:
        assert all(map(math.isfinite, span)) and span.min <= span.typ <= span.max
        assert show_span(span, unit)


@given(st.sampled_from(REFUSED), st.sampled_from(["", " ", "\u00a0"]))
def test_traps_stay_refused_in_any_padding(trap: tuple[Any, str, str], pad: str) -> None:
    text, unit, _ = trap
    with pytest.raises(ValueSlip):
        parse(f"{pad}{text}{pad}" if isinstance(text, str) else text, unit)
