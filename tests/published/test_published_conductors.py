"""Wires, tracks, terminals: gauge and resistance, published currents and spacings."""

import math
from functools import partial

import pytest

from partcheck.physics import Number, conductor_data, conductors

from ._case import FILE, MEMORY, NOTEBOOK, SEARCH, SECOND_HAND, Case, celsius, name

ASTM = "ASTM B258 formula; table as reprinted by PowerStream/UCAR and HyperPhysics"
HANDBOOK = "PowerStream wire table, citing Handbook of Electronic Tables and Formulas"
IEC_60228 = "IEC 60228 Tables 1 and 3 as reprinted"
MIL_975 = "MIL-STD-975M Appendix A, section 3.16"
IPC_2221 = "IPC-2221 section 6.2 as reprinted by board makers"
ERNI = "ERNI derating report to IEC 60512-5-2 test 5b, IDC terminal, AWG 22, upper limit 150 °C"
MODULE = "ERNI derating report, power module"
BIRD = "Bird, Example 3.7"

KILOFOOT = 304.8
INCH = 25.4e-3
MIL = 25.4e-6
MM = 1e-3
MM2 = 1e-6


def diameter(awg: int) -> float:
    return 2 * math.sqrt(conductors.awg_area(awg) / math.pi)


def amperes_of(table: str, awg: int) -> float | None:
    return conductors.wire_current(table, conductors.awg_area(awg))


def correction(degrees: float) -> Number:
    """Resistance at 20 °C over that at another temperature."""
    hot = conductors.copper_resistance(1.0, 1.0, celsius(degrees))
    return conductors.copper_resistance(1.0, 1.0) / hot


GAUGES = [
    ("C-01", 12, 0.0808, 1.588), ("C-02", 18, 0.0403, 6.385), ("C-03", 20, 0.0320, 10.15),
    ("C-04", 22, 0.0253, 16.14), ("C-05", 24, 0.0201, 25.67), ("C-06", 26, 0.0159, 40.81),
    ("C-08", 30, 0.0100, 103.2),
]  # fmt: skip
CHASSIS = [(18, 16.0), (20, 11.0), (22, 7.0), (24, 3.5), (26, 2.2), (28, 1.4), (30, 0.86)]
POWER = [(18, 2.3), (20, 1.5), (22, 0.92), (24, 0.577)]
SINGLE = [(30, 1.3), (28, 1.8), (26, 2.5), (24, 3.3), (22, 4.5), (20, 6.5), (18, 9.2), (16, 13.0), (14, 19.0),
          (12, 25.0), (10, 33.0)]  # fmt: skip
RESISTANCES = [
    ("class 1-2", 0.5, 36.0), ("class 1-2", 0.75, 24.5), ("class 1-2", 1.0, 18.1), ("class 1-2", 1.5, 12.1),
    ("class 1-2", 2.5, 7.41), ("class 1-2", 4.0, 4.61), ("class 1-2", 6.0, 3.08), ("class 1-2", 10.0, 1.83),
    ("class 5", 0.5, 39.0), ("class 5", 0.75, 26.0), ("class 5", 1.0, 19.5), ("class 5", 1.5, 13.3),
    ("class 5", 2.5, 7.98), ("class 5", 4.0, 4.95), ("class 5", 6.0, 3.30), ("class 5", 10.0, 1.91),
]  # fmt: skip
BASE = [(20, 21.9), (30, 21.1), (40, 20.2), (50, 19.3), (60, 18.4), (70, 17.4), (80, 16.3), (90, 15.1),
(100, 13.8),
        (110, 12.3), (120, 10.7), (130, 8.7), (140, 6.1)]  # fmt: skip
DERATED = [17.52, 16.88, 16.16, 15.44, 14.72, 13.92, 13.04, 12.08, 11.04, 9.84, 8.56, 6.96, 4.88]
MODULE_BASE = [15.8, 15.3, 14.6, 13.8, 13.0, 12.1, 11.0, 9.8, 8.2, 6.3, 3.3]
MODULE_DERATED = [12.64, 12.24, 11.68, 11.04, 10.40, 9.68, 8.80, 7.84, 6.56, 5.04, 2.64]
AXIS = "temperature axis inferred from the plot"

CASES = [
    *(Case(row, f"AWG {awg} diameter", partial(diameter, awg), inches * INCH, 0.006, ASTM, SEARCH,
          "within 0.6 %")
      for row, awg, inches, _ in GAUGES),
    *(Case(row, f"AWG {awg} resistance",
           partial(conductors.copper_resistance, KILOFOOT, conductors.awg_area(awg)), ohms, 0.006, ASTM,
           SEARCH,
           "within 0.6 %")
      for row, awg, _, ohms in GAUGES),
    Case("C-09", "six gauges", lambda: diameter(18) / diameter(24), 2.005, 0.000249,
         "ASTM B258 identity, stated in the AWG tables", SEARCH),
    *(Case("C-10", f"AWG {awg} chassis", partial(amperes_of, "chassis", awg),
           amperes, 0.001, HANDBOOK, SEARCH, "as printed")
      for awg, amperes in CHASSIS),
    *(Case("C-10", f"AWG {awg} power",
           partial(amperes_of, "power-transmission", awg),
           amperes, 0.03, HANDBOOK, SEARCH, "within 3 %")
      for awg, amperes in POWER),
    *(Case("C-29", f"AWG {awg} single",
           partial(amperes_of, "mil-std-975m-single", awg),
           amperes, 0.001, MIL_975, SECOND_HAND, "as printed; 70 °C, vacuum")
      for awg, amperes in SINGLE),
    Case("C-29", "five of AWG 16", lambda: 13.0 * (conductors.bundle_factor(5) or 0.0),
         11.14, 0.000449, MIL_975, SECOND_HAND),
    Case("C-29", "five of AWG 18", lambda: 9.2 * (conductors.bundle_factor(5) or 0.0),
         7.886, 6.34e-5, MIL_975, SECOND_HAND),
    Case("C-11", "area of AWG 12", lambda: conductors.awg_area(12), 3.31e-6, 0.00151,
         "OpenStax University Physics vol. 2, resistivity (module m58731)", FILE),
    Case("C-11", "5 m of AWG 12",
         lambda: conductors.copper_resistance(5.0, conductors.awg_area(12), resistivity=1.68e-8), 0.025, 0.02,
         "OpenStax University Physics vol. 2, resistivity (module m58731)", FILE),
    Case("C-12", "1200 m, 12 mm across",
         lambda: conductors.copper_resistance(1200.0, math.pi * 0.006 * 0.006, resistivity=1.7e-8),
         0.18, 0.0278, BIRD, NOTEBOOK),
    *(Case("C-15", f"correction at {degrees} °C",
           partial(correction, degrees), printed, rel,
           "IEC 60228 correction table", SEARCH)
      for degrees, printed, rel in [(30.0, 0.962, 0.00052), (70.0, 0.833, 0.0006), (100.0, 0.758, 0.00066)]),
    Case("C-18", "outside rise",
         lambda: conductors.track_rise(1.0, conductors.track_area(11.8 * MIL, 1.378 * MIL), 0.048),
         10.0, 0.01, IPC_2221, SEARCH + " for the constants; the width from memory"),
    *(Case("C-22", f"derated at {degrees} °C", partial(conductors.connector_derating, base), derated, 0.00028,
           ERNI, SEARCH, AXIS)
      for (degrees, base), derated in zip(BASE, DERATED, strict=True)),
    *(Case("C-23", f"square-root law at {degrees} °C",
           partial(conductors.connector_current, 21.9, celsius(20), celsius(150), celsius(degrees)),
           base, 0.018, ERNI, SEARCH + "; the law is ours, the points printed", AXIS + "; within 1.8 %")
      for degrees, base in BASE),
    *(Case("C-24", f"derated point {point}", partial(conductors.connector_derating, base), derated, 0.0002,
           MODULE, SEARCH)
      for point, (base, derated) in enumerate(zip(MODULE_BASE, MODULE_DERATED, strict=True))),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=name)
def test_printed(case: Case) -> None:
    case.check()


def test_wire_tables_hold_the_printed_rows_and_no_others() -> None:
    assert conductor_data.WIRE_TABLES["chassis"].amperes == dict(CHASSIS), HANDBOOK
    assert conductor_data.WIRE_TABLES["mil-std-975m-single"].amperes == dict(SINGLE), MIL_975
    assert conductor_data.WIRE_TABLES["power-transmission"].amperes.keys() == set(range(10, 31)), HANDBOOK


def test_conductor_table_holds_the_printed_rows_and_no_others() -> None:
    rows = {
        (kind, round(area / MM2, 6)) for kind, table in conductor_data.CONDUCTOR_RESISTANCE.items() for area in table
    }
    assert rows == {(kind, mm2) for kind, mm2, _ in RESISTANCES}, IEC_60228


D_275 = "C-19: ANSI/IPC-D-275 spacing table, posted to si-list 2 Aug 2002 (search excerpt seen)"
T_6_1 = (
    "C-20: IPC-2221A/B Table 6-1 (B1, B2, B4: secondary search excerpts; B3, A5, A6: from memory; several "
    "reprints disagree)"
)
SPACINGS = [
    *(("ansi-ipc-d-275", D_275, *row) for row in [
        ("B1", 0, 100, 0.1), ("B1", 101, 300, 0.2), ("B1", 301, 500, 0.25),
        ("B2", 0, 150, 0.64), ("B2", 151, 300, 1.27), ("B2", 301, 500, 2.54),
        ("B3", 0, 50, 0.64), ("B3", 51, 100, 1.5), ("B3", 101, 170, 3.18), ("B3", 171, 250, 6.4),
        ("B3", 251, 500, 12.7),
        ("B4", 0, 100, 0.13), ("B4", 101, 300, 0.38), ("B4", 301, 500, 0.75),
        ("A5", 0, 100, 0.13), ("A5", 101, 300, 0.38),
        ("A6", 0, 15, 0.13), ("A6", 16, 30, 0.25), ("A6", 31, 50, 0.38), ("A6", 51, 100, 0.5),
        ("A6", 101, 300, 0.75), ("A6", 301, 500, 1.5),
        ("A7", 0, 100, 0.13), ("A7", 101, 300, 0.38), ("A7", 301, 500, 0.75)]),
    *(("ipc-2221", T_6_1, *row) for row in [
        ("B1", 0, 30, 0.05), ("B1", 31, 100, 0.1), ("B1", 101, 150, 0.2),
        ("B2", 0, 15, 0.1), ("B2", 16, 30, 0.1), ("B2", 31, 150, 0.6),
        ("B3", 31, 50, 0.6), ("B3", 51, 100, 1.5),
        ("B4", 0, 30, 0.05), ("B4", 31, 100, 0.13), ("B4", 101, 150, 0.4),
        ("A5", 0, 100, 0.13),
        ("A6", 0, 15, 0.13), ("A6", 16, 30, 0.25), ("A6", 31, 50, 0.4), ("A6", 51, 100, 0.5),
        ("A6", 101, 150, 0.8)]),
]  # fmt: skip


@pytest.mark.parametrize(("table", "source", "column", "low", "high", "mm"), SPACINGS)
def test_spacing_as_printed(table: str, source: str, column: str, low: int, high: int, mm: float) -> None:
    assert conductors.clearance(low, column, table) == pytest.approx(mm * MM), source
    assert conductors.clearance(high, column, table) == pytest.approx(mm * MM), source
    if low:  # between two printed rows the next one counts
        assert conductors.clearance(low - 0.5, column, table) == pytest.approx(mm * MM), source


@pytest.mark.parametrize(("table", "column"), sorted({(table, column) for table, _, column, *_ in SPACINGS}))
def test_nothing_is_stated_beyond_the_last_row(table: str, column: str) -> None:
    last = max(high for of, _, name, _, high, _ in SPACINGS if (of, name) == (table, column))
    assert conductors.clearance(last, column, table) is not None
    assert conductors.clearance(last + 0.5, column, table) is None


UL = "C-26: UL 1059 Table 8.1 reprinted in the WAGO catalogue, technical section (search excerpt seen)"


# ---- what must not be assumed -----------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "mm2", "ohms"), RESISTANCES)
def test_c14_a_wire_has_more_resistance_than_its_copper(kind: str, mm2: float, ohms: float) -> None:
    """IEC 60228 allows 4 to 8 % over ideal copper, and 11 to 16 % where the wire is flexible (class 5)."""
    ideal = conductors.copper_resistance(1.0, mm2 * MM2)
    least, most = (0.04, 0.08) if kind == "class 1-2" else (0.105, 0.16)
    excess = ohms * MM / ideal - 1
    assert excess == pytest.approx((least + most) / 2, abs=(most - least) / 2)


def test_c10_a_gauge_has_no_one_current() -> None:
    """AWG 18: 2.3 A, 9.2 A and 16 A in three published tables, seven to one."""
    area = conductors.awg_area(18)
    found = [conductors.wire_current(table, area) for table in conductor_data.WIRE_TABLES]
    assert None not in found
    amperes = sorted(value for value in found if value is not None)
    assert amperes[-1] / amperes[0] == pytest.approx(6.9, abs=0.1)


def test_c15_not_the_coefficient_of_pure_copper() -> None:
    """IEC 60228 corrects with 0.004: 0.833 at 70 °C, where 0.00393 would give 0.836."""
    cold, hot = (conductors.copper_resistance(1.0, 1.0, celsius(t), alpha=0.00393) for t in (20.0, 70.0))
    assert cold / hot == pytest.approx(0.836, abs=0.0005)
    assert abs(cold / hot - 0.833) > 0.002  # type: ignore[arg-type]


def test_c29_a_bundle_carries_less() -> None:
    """8 A in a bundle of five: AWG 16 passes, AWG 18 does not (MIL-STD-975M, second-hand)."""
    factor = conductors.bundle_factor(5)
    assert factor is not None
    assert 9.2 * factor < 8.0 < 13.0 * factor


def test_memory_is_called_memory() -> None:
    """Rows from memory say so in the table a user sees."""
    assert MEMORY in conductor_data.SPACING_TABLES["ipc-2221"].confirmed
