"""Thermal resistance, junction temperature and derating: datasheet identities and textbook examples."""

from collections.abc import Iterator
from functools import partial

import pytest

from partcheck.physics import Number, heat, regulators

from ._case import NOTEBOOK, READ, SEARCH, Case, celsius, name


def slope(theta: float) -> Number:
    """W/K: what one kelvin more or less of ambient is worth."""
    return heat.power_allowed(celsius(26.0), celsius(25.0), theta)


def rated(tj_max: float, theta: float, at: float = 25.0) -> Number:
    """W at a case or ambient temperature in °C."""
    return heat.power_allowed(celsius(tj_max), celsius(at), theta)


# id, part, Tj max °C, θ K/W, (P at 25 °C, rel), (slope, rel), (I at 25 °C, hot °C, I hot, rel), source, seen
Row = tuple[
    str,
    str,
    float,
    float,
    tuple[float, float] | None,
    tuple[float, float] | None,
    tuple[float, float, float, float] | None,
    str,
    str,
]
RATINGS: list[Row] = [
    ("M-41", "IRF540", 175, 1.0, (150, 0.01), (1.0, 0.05), (28, 100, 20, 0.025), "Vishay doc 91021", READ),
    ("M-42", "IRF740", 150, 1.0, (125, 0.01), (1.0, 0.05), (10, 100, 6.3, 0.0159), "Vishay doc 91054", READ),
    ("M-43", "IRF840", 150, 1.0, (125, 0.01), None, (8.0, 100, 5.1, 0.0196), "Vishay doc 91070", READ),
    ("M-45", "IRF510", 175, 3.5, (43, 0.0233), (0.29, 0.0345), (5.6, 100, 4.0, 0.025),
     "Vishay doc 91015 Rev. C", READ),
    ("M-46", "IRLZ44N", 175, 1.4, None, (0.71, 0.0141), (47, 100, 33, 0.0152),
     "International Rectifier PD-9.1346B", READ),
    ("M-48", "IRF540N", 175, 1.15, (130, 0.01), (0.87, 0.0115), (33, 100, 23, 0.0217),
     "International Rectifier PD-91341B", READ),
    ("M-49", "CSD18510Q5B", 150, 0.8, (156, 0.01), None, None, "Texas Instruments SLPS632", SEARCH),
    ("M-50", "CSD19535KTT", 175, 0.5, (300, 0.01), None, (197, 100, 139, 0.01),
     "Texas Instruments CSD19535KTT datasheet", SEARCH),
    ("M-51", "2N7002", 150, 150, (0.83, 0.012), None, (0.3, 100, 0.190, 0.01),
     "NXP 2N7002 Rev. 7, to the solder point", READ),
    ("M-52", "2N7000", 150, 125, (1.0, 0.05), None, None, "STMicroelectronics 2N7000/2N7002 Rev. 7", READ),
    ("M-53", "BS170", 150, 150, (0.83, 0.012), (0.0066, 0.0152), None, "ON Semiconductor MMBF170/D", READ),
    ("M-54", "MMBF170", 150, 417, (0.3, 0.05), (0.0024, 0.0208), None, "ON Semiconductor MMBF170/D", READ),
    ("M-55", "PMV31XN", 150, 1.0, None, None, (5.9, 100, 3.75, 0.01), "Philips PMV31XN (2003)", READ),
    ("M-56", "IRLML6344", 150, 100, (1.3, 0.0385), None, (5.0, 70, 4.0, 0.0125),
     "International Rectifier IRLML6344 datasheet", READ),
    ("M-57", "AO3400A", 150, 90, (1.4, 0.0357), None, None, "Alpha & Omega AO3400A Rev. 3.1, t ≤ 10 s", READ),
    ("M-58", "Si2302CDS", 150, 145, (0.86, 0.0116), None, (2.9, 70, 2.3, 0.0217), "Vishay 68645, 5 s", READ),
    ("M-59", "Si2302CDS", 150, 175, (0.71, 0.0141), None, (2.6, 70, 2.1, 0.0238), "Vishay 68645, steady",
     READ),
    ("B-20", "2N3904", 150, 83.3, (1.5, 0.002), (0.012, 0.002), None, "onsemi 2N3903/D Rev. 9, case", READ),
    ("B-21", "BC337", 150, 200, (0.625, 0.002), (0.005, 0.002), None, "CDIL BC337/338 datasheet, ambient",
     READ),
    ("B-22", "2N2222", 200, 350, (0.5, 0.002), None, None, "Philips 2N2222/2N2222A (1997), ambient", READ),
    ("B-23", "2N2222", 200, 146, (1.2, 0.002), None, None, "Philips 2N2222/2N2222A (1997), case", READ),
    ("F-18", "BAS16WS", 150, 650, (0.2, 0.05), None, None,
     "Vishay BAS16WS datasheet; 192 mW by the identity", READ),
    ("R-06", "SOT-23 regulator", 125, 255, (0.390, 0.02), (0.0039, 0.02), None,
     "Texas Instruments TPS793xx, dissipation-rating table", READ),
    ("R-07", "SOT-23 regulator", 125, 180, (0.560, 0.02), (0.0056, 0.02), None,
     "Texas Instruments TPS793xx, dissipation-rating table", READ),
    ("R-08", "SOT-23 regulator", 125, 190, (0.530, 0.02), (0.0053, 0.02), None,
     "Texas Instruments TPS793xx, dissipation-rating table", READ),
]  # fmt: skip


def rating_cases() -> Iterator[Case]:
    for row, part, tj_max, theta, power, fall, current, source, seen in RATINGS:
        if power:
            yield Case(row, f"{part} power", partial(rated, tj_max, theta), *power, source, seen)
        if fall:
            yield Case(row, f"{part} slope", partial(slope, theta), *fall, source, seen)
        if current:
            i_25, hot, i_hot, rel = current
            yield Case(
                row,
                f"{part} hot current",
                partial(heat.square_root_law, i_25, celsius(tj_max), celsius(hot)),
                i_hot,
                rel,
                source,
                seen,
            )


JACOB = "Jacob, Power Electronics: Principles & Applications, "
SEDRA = "Sedra & Smith, Microelectronic Circuits, Example 14.4, p. 1251"
NEAMEN = "Neamen, Electronic Circuit Analysis and Design, "
MEHTA = "Mehta & Mehta, Example 12.16, p. 323"
STM = "STMicroelectronics STM32F103, DocID13587 Rev. 11, section 6.2.2, "
TPS = "Texas Instruments TPS793xx, dissipation-rating table"
FRANCO = "Franco, Example 11.15, p. 532"
TOSHIBA = "Toshiba Semiconductor, LDO e-learning pages"
NISSHINBO = "Nisshinbo Micro Devices, frequently asked questions"
SN75 = "Texas Instruments SN75176A and SN75173, dissipation-rating tables"
ROUNDED = "the maker multiplies the rounded slope"

CASES = [
    *rating_cases(),
    Case("R-01", "junction", lambda: heat.junction(celsius(82.0), 46.0, 0.447), celsius(102.6), 0.00014,
         STM + "Example 1", READ),
    Case("R-02", "junction", lambda: heat.junction(celsius(115.0), 46.0, 0.134), celsius(121.2), 0.00013,
         STM + "Example 2", READ),
    Case("R-02", "rise", lambda: heat.rise(46.0, 0.134), 6.2, 0.0081, STM + "Example 2", READ),
    *(Case(row, f"power at {at} °C", partial(rated, 125.0, theta, at), power, rel, TPS, READ, ROUNDED)
      for row, theta, at, power, rel in [
          ("R-06", 255.0, 70.0, 0.215, 0.03), ("R-06", 255.0, 85.0, 0.155, 0.04),
          ("R-07", 180.0, 70.0, 0.310, 0.03), ("R-07", 180.0, 85.0, 0.225, 0.04),
          ("R-08", 190.0, 70.0, 0.296, 0.03), ("R-08", 190.0, 85.0, 0.216, 0.04)]),
    Case("R-10", "junction",
         lambda: heat.junction(celsius(40), 208.3, regulators.regulator_heat(3.6, 1.8, 0.1, 0.0)),
         celsius(77.5), 0.00015, TOSHIBA, SEARCH + "; result ours"),
    Case("R-11", "power at 85 °C", lambda: rated(125.0, 40.0, 85.0), 1.0, 0.05, NISSHINBO, SEARCH),
    Case("R-11", "power at 25 °C", lambda: rated(125.0, 40.0), 2.5, 0.02, NISSHINBO, SEARCH),
    Case("R-19", "power", lambda: rated(125.0, 8.5, 40.0), 10.0, 0.005, JACOB + "Example 4.7, p. 180",
         NOTEBOOK),
    Case("R-20", "power", lambda: rated(150.0, 62.5, 50.0), 1.6, 0.0312, SEDRA, NOTEBOOK),
    Case("R-20", "junction at 1 W", lambda: heat.junction(celsius(25), 62.5, 1.0),
         celsius(87.5), 0.00014, SEDRA, NOTEBOOK),
    Case("R-22", "power without sink", lambda: rated(150.0, 51.75, 30.0),
         2.32, 0.00216, NEAMEN + "Example 8.1, p. 478", NOTEBOOK),
    Case("R-22", "power with sink", lambda: rated(150.0, 7.75, 30.0),
         15.48, 0.000323, NEAMEN + "Example 8.1, p. 478", NOTEBOOK),
    Case("R-23", "power", lambda: rated(175.0, 13.5), 11.11, 0.00045, NEAMEN + "Example 8.3, p. 479",
         NOTEBOOK),
    Case("R-25", "power without sink", lambda: rated(90.0, 300.0, 30.0), 0.2, 0.0025, MEHTA, NOTEBOOK),
    Case("R-25", "power with sink", lambda: rated(90.0, 60.0, 30.0), 1.0, 0.0005, MEHTA, NOTEBOOK),
    Case("R-26", "625 mW", lambda: heat.derated_power(0.625, 0.005, celsius(50)), 0.5, 0.001,
         "Malvino & Bates, Electronic Principles, Example 12-14", NOTEBOOK),
    Case("R-26", "80 W", lambda: heat.derated_power(80.0, 0.5, celsius(125)), 30.0, 0.0167,
         "Boylestad & Nashelsky, Example 12.17", NOTEBOOK),
    Case("R-26", "1 W", lambda: heat.derated_power(1.0, 0.005, celsius(70)), 0.775, 0.000645,
         "Floyd, Electronic Devices, Example 4.7", NOTEBOOK),
    Case("R-26", "400 mW", lambda: heat.derated_power(0.4, 3.2e-3, celsius(90), celsius(50)), 0.272, 0.00184,
         "Floyd, Electronic Devices, Example 3.4", NOTEBOOK),
    Case("R-27", "725 mW at 70 °C", lambda: heat.derated_power(0.725, 5.8e-3, celsius(70)),
         0.464, 0.00108, SN75, SEARCH),
    Case("R-27", "1100 mW at 70 °C", lambda: heat.derated_power(1.1, 8.8e-3, celsius(70)),
         0.704, 0.00071, SN75, SEARCH),
    Case("R-27", "1375 mW at 70 °C", lambda: heat.derated_power(1.375, 11e-3, celsius(70)),
         0.880, 0.000568, SN75, SEARCH),
    Case("R-27", "1375 mW at 125 °C", lambda: heat.derated_power(1.375, 11e-3, celsius(125)),
         0.275, 0.00182, SN75, SEARCH),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=name)
def test_printed(case: Case) -> None:
    case.check()


@pytest.mark.parametrize(
    ("power", "per_kelvin", "zero_at", "source"),
    [
        (5.0, 28.57e-3, 200.0, "B-24: MIL-PRF-19500/379K, 2N3791 series (search excerpt seen; zero implied)"),
        (1.0, 6.67e-3, 175.0, "F-19: MIL-PRF-19500/500 (search excerpt seen; zero implied)"),
    ],
)
def test_derating_ends_at_the_junction_limit(power: float, per_kelvin: float, zero_at: float, source: str) -> None:
    left = heat.derated_power(power, per_kelvin, celsius(zero_at))
    assert left == pytest.approx(0.0, abs=1e-3 * power), source


# ---- numbers that the formulas do not give: what must not be assumed -------------------------------


def test_m46_a_rounded_theta_gives_less_power_than_the_sheet_prints() -> None:
    """IRLZ44N: 110 W printed, 107 W from the printed 1.4 K/W. International Rectifier PD-9.1346B (PDF read).

    We allow 2.6 % less: conservative.
    """
    assert rated(175.0, 1.4) / 110.0 - 1 == pytest.approx(-0.026, abs=0.001)


def test_m57_a_maker_may_print_more_than_the_square_root_law() -> None:
    """AO3400A: 4.7 A at 70 °C printed, 4.56 A by the law. Alpha & Omega AO3400A Rev. 3.1 (PDF read).

    We allow 3 % less: conservative.
    """
    law = heat.square_root_law(5.7, celsius(150), celsius(70))
    assert law / 4.7 - 1 == pytest.approx(-0.03, abs=0.002)


def test_r12_an_allowed_drop_printed_too_high() -> None:
    """2.5 W at 1.5 A: 1.68 V printed, 1.667 V exact. Nisshinbo questions (search excerpt seen).

    We allow 0.8 % less: conservative.
    """
    drop = regulators.input_by_heat(2.5, 3.3, 1.5, 0.0) - 3.3
    assert drop == pytest.approx(5 / 3, rel=1e-9)
    assert drop / 1.68 - 1 == pytest.approx(-0.008, abs=0.001)
