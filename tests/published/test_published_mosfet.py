"""MOSFET switches: avalanche, on-state, gate. Datasheets and textbook examples."""

import pytest

from partcheck.physics import coils, heat, regulators, switching, waves

from ._case import MEMORY, NOTEBOOK, READ, SEARCH, Case, name

VISHAY_91021 = "Vishay doc 91021 (IRF540), absolute-maximum table, note b"
IR_9307 = "International Rectifier PD-9.307O (IRF530), absolute-maximum table"
VISHAY_91015 = "Vishay doc 91015 Rev. C, 16-Nov-2015 (IRF510), absolute-maximum table, note b"
TI_632 = "Texas Instruments SLPS632 (CSD18510Q5B), absolute-maximum table"
TI_19535 = "Texas Instruments CSD19535KTT datasheet, absolute-maximum table"
JACOB = "Jacob, Power Electronics: Principles & Applications, "
MALVINO = "Malvino & Bates, Electronic Principles, "
FLOYD = "Floyd, Electronic Devices, "
CHOPPED = "P-channel switch: 28 V, 12 Ω, 0.57 Ω, duty 0.8"


P_CHANNEL = switching.on_state(28.0, 12.0, 0.57)
P_CHANNEL_RMS = waves.rms_chopped(P_CHANNEL, 0.8)
P_CHANNEL_LOSS = switching.ohmic_loss(P_CHANNEL_RMS, 0.57)
BRIDGE_RMS = waves.rms_chopped(switching.on_state(28.0, 15.0, 0.575), 0.85)

CASES = [
    Case("M-01", "avalanche energy", lambda: coils.avalanche_energy(0.44e-3, 28.0, 100.0, 25.0),
         0.230, 0.00217, VISHAY_91021, READ),
    Case("M-04", "avalanche energy", lambda: coils.avalanche_energy(0.528e-3, 14.0, 100.0, 25.0),
         0.069, 0.00725, IR_9307, READ),
    Case("M-05", "stored energy", lambda: coils.stored_energy(4.8e-3, 5.6),
         0.075, 0.00667, VISHAY_91015, READ, "rated as stored energy only"),
    Case("M-06", "stored energy", lambda: coils.stored_energy(0.1e-3, 81.0),
         0.328, 0.00152, TI_632, SEARCH, "rated as stored energy only"),
    Case("M-07", "stored energy", lambda: coils.stored_energy(0.1e-3, 95.0),
         0.451, 0.00111, TI_19535, SEARCH, "rated as stored energy only"),
    Case("M-08", "breakdown implied", lambda: coils.breakdown_implied(0.47e-3, 25.0, 0.210, 25.0),
         83.0, 0.006, "International Rectifier PD-9.1346B, 8/25/97 (IRLZ44N)", READ + "; result ours"),
    Case("M-09", "breakdown implied", lambda: coils.breakdown_implied(1.0e-3, 10.0, 0.071, 25.0),
         84.5, 0.0006, "International Rectifier IRFZ24N PbF, 2/10/04", READ + "; result ours"),
    Case("M-11", "triangular pulse", lambda: coils.avalanche_rise(1.0, 1.0), 0.6667, 7.5e-5,
         "NXP AN10273, single-shot and repetitive avalanche ruggedness",
         MEMORY + "; the factor recalculated by convolution; unit inputs ours"),
    Case("M-13", "kick", lambda: switching.kick(10e-6, 4.5, 300e-9),
         150.0, 0.00333, JACOB + "Example 6.8, p. 292", NOTEBOOK),
    Case("M-15", "current", lambda: P_CHANNEL, 2.23, 0.00224, JACOB + "Example 6.9, p. 298", NOTEBOOK,
         CHOPPED),
    Case("M-15", "load voltage", lambda: switching.divided(28.0, 0.57, 12.0),
         26.73, 0.000187, JACOB + "Example 6.9, p. 298", NOTEBOOK, CHOPPED),
    Case("M-15", "load power", lambda: switching.ohmic_loss(P_CHANNEL_RMS, 12.0),
         47.63, 0.000105, JACOB + "Example 6.9, p. 298", NOTEBOOK, CHOPPED),
    Case("M-15", "switch power", lambda: P_CHANNEL_LOSS,
         2.26, 0.00221, JACOB + "Example 6.9, p. 298", NOTEBOOK, CHOPPED),
    Case("M-15", "heat sink", lambda: heat.theta_sink(423.15, 313.15, P_CHANNEL_LOSS, 3.7, 0.0),
         44.92, 0.000111, JACOB + "Example 6.9, p. 298", NOTEBOOK, CHOPPED),
    Case("M-16", "gate time", lambda: switching.charge_time(44e-9, 25.0, 1.0),
         1.1e-6, 0.0455, JACOB + "Example 6.10, p. 305", NOTEBOOK, "40 mA as 1 V through 25 Ω"),
    Case("M-17", "current", lambda: switching.on_state(28.0, 15.0, 0.575),
         1.8, 0.0278, JACOB + "Example 6.11, p. 313", NOTEBOOK),
    Case("M-17", "load voltage", lambda: switching.divided(28.0, 0.575, 15.0),
         26.97, 0.000185, JACOB + "Example 6.11, p. 313", NOTEBOOK),
    Case("M-17", "high switch", lambda: switching.ohmic_loss(BRIDGE_RMS, 0.375),
         1.03, 0.00485, JACOB + "Example 6.11, p. 313", NOTEBOOK),
    Case("M-17", "low switch", lambda: switching.ohmic_loss(BRIDGE_RMS, 0.2),
         0.55, 0.00909, JACOB + "Example 6.11, p. 313", NOTEBOOK),
    Case("M-17", "heat sink", lambda: heat.theta_sink(423.15, 333.15, 1.56, 2.2, 0.0),
         55.49, 9.01e-5, JACOB + "Example 6.11, p. 313", NOTEBOOK, "with the printed, rounded 1.56 W"),
    Case("M-18", "saturated current", lambda: switching.on_state(20.0, 1000.0, 0.0),
         0.020, 0.025, MALVINO + "Example 14-3, p. 490", NOTEBOOK),
    Case("M-18", "output voltage", lambda: switching.divided(20.0, 1000.0, 6.0),
         0.12, 0.0417, MALVINO + "Example 14-3, p. 490", NOTEBOOK),
    Case("M-19", "coil current", lambda: switching.on_state(24.0, 500.0, 0.0),
         0.048, 0.00104, MALVINO + "Example 14-5, p. 492", NOTEBOOK),
    Case("M-21", "lamp current", lambda: switching.on_state(30.0, 10.0, 1.07),
         2.71, 0.00185, MALVINO + "Example 14-10, p. 503", NOTEBOOK),
    Case("M-22", "valve current", lambda: switching.on_state(10.0, 10.0, 0.5),
         0.95, 0.00526, MALVINO + "Example 14-11, p. 503", NOTEBOOK),
    Case("M-23", "current at a low gate", lambda: switching.square_law_current(0.6, 4.5, 2.1, 3.0),
         0.08437, 0.0001, MALVINO + "Example 14-13, p. 506", NOTEBOOK),
    Case("M-24", "drive power", lambda: switching.drive_power(10e-9 * 12.0, 12.0, 300e3), 0.432, 0.00116,
         "Texas Instruments SLUS545 (UCC2742x), application section; SLVAED3A equation 4",
         SEARCH + " of both sections; the values from memory"),
    Case("M-25", "hot on-resistance", lambda: switching.resistance_ratio(9.25, 5.0), 1.85, 0.0027,
         "NXP 2N7002 Rev. 7 (2011), characteristics table", READ + "; ratio ours"),
    Case("M-26", "hot on-resistance, typical", lambda: switching.resistance_ratio(28e-3, 18e-3),
         1.556, 0.000321, "Alpha & Omega AO3400A Rev. 3.1, electrical characteristics",
         READ + "; ratio ours"),
    Case("M-26", "hot on-resistance, maximum", lambda: switching.resistance_ratio(38e-3, 26.5e-3),
         1.434, 0.000349, "Alpha & Omega AO3400A Rev. 3.1, electrical characteristics",
         READ + "; ratio ours"),
    Case("M-30", "power hyperbola", lambda: regulators.current_by_heat(0.25, 6.0, 0.0, 0.0),
         0.0417, 0.0012, FLOYD + "Example 4.5", NOTEBOOK),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=name)
def test_printed(case: Case) -> None:
    case.check()


# ---- numbers that the formulas do not give: what must not be assumed -------------------------------


def test_m03_a_rating_may_lie_above_the_formula() -> None:
    """IRF840: 510 mJ printed, the formula with the rated 500 V gives 2.4 % less.

    Vishay doc 91070, absolute-maximum table, note b (PDF read). Our demand at the maker's own test is
    then below the printed rating: not the conservative side, so a rating is not rebuilt by formula.
    """
    ours = coils.avalanche_energy(14e-3, 8.0, 500.0, 50.0)
    assert ours == pytest.approx(0.510, rel=0.03)
    assert ours / 0.510 - 1 == pytest.approx(-0.024, abs=0.001)


@pytest.mark.parametrize(
    ("inductance", "current", "printed", "excess", "source"),
    [
        (0.47e-3, 25.0, 0.210, 0.28, "M-08: International Rectifier PD-9.1346B, IRLZ44N (PDF read)"),
        (1.0e-3, 10.0, 0.071, 0.29, "M-09: International Rectifier IRFZ24N PbF (PDF read)"),
    ],
)
def test_breakdown_is_not_always_the_rated_one(
    inductance: float, current: float, printed: float, excess: float, source: str
) -> None:
    """Two 55 V parts are rated as if they broke down at 83 V and more, half as much again.

    With the rated 55 V we ask for more energy than the maker's own test did: conservative.
    """
    ours = coils.avalanche_energy(inductance, current, 55.0, 25.0)
    assert ours / printed - 1 == pytest.approx(excess, abs=0.005), source
    implied = coils.breakdown_implied(inductance, current, printed, 25.0)
    assert implied / 55.0 == pytest.approx(1.53, abs=0.03), source


def test_m10_a_rating_may_be_set_by_heat() -> None:
    """IRF540N: 185 mJ, limited by the junction, where the stored energy of its test is 192 mJ.

    International Rectifier PD-91341B, 03/13/01, absolute-maximum table and notes (PDF read). We ask for
    3.8 % more: conservative.
    """
    ours = coils.stored_energy(1.5e-3, 16.0)
    assert ours / 0.185 - 1 == pytest.approx(0.038, abs=0.001)


def test_m05_two_definitions_of_one_rating() -> None:
    """IRF510's 75 mJ is stored energy; the formula with the supply gives 100.4 mJ (+34 %): conservative."""
    full = coils.avalanche_energy(4.8e-3, 5.6, 100.0, 25.0)
    assert full == pytest.approx(0.1004, rel=0.001)


def test_m23_over_the_threshold_is_not_on() -> None:
    """0.9 V over the threshold leaves 14 % of the guaranteed current (Malvino & Bates, Example 14-13)."""
    assert switching.square_law_current(1.0, 4.5, 2.1, 3.0) == pytest.approx(0.14, abs=0.005)
