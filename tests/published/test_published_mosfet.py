"""MOSFET switches: avalanche, on-state, gate. Datasheets and textbook examples."""

import pytest

from partcheck.physics import coils, regulators, switching

from ._case import NOTEBOOK, READ, SEARCH, Case, name

VISHAY_91021 = "Vishay doc 91021 (IRF540), absolute-maximum table, note b"
IR_9307 = "International Rectifier PD-9.307O (IRF530), absolute-maximum table"
VISHAY_91015 = "Vishay doc 91015 Rev. C, 16-Nov-2015 (IRF510), absolute-maximum table, note b"
TI_632 = "Texas Instruments SLPS632 (CSD18510Q5B), absolute-maximum table"
TI_19535 = "Texas Instruments CSD19535KTT datasheet, absolute-maximum table"
JACOB = "Jacob, Power Electronics: Principles & Applications, "
MALVINO = "Malvino & Bates, Electronic Principles, "
FLOYD = "Floyd, Electronic Devices, "
CHOPPED = "P-channel switch: 28 V, 12 Ω, 0.57 Ω, duty 0.8"


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
    Case("M-15", "load voltage", lambda: switching.divided(28.0, 0.57, 12.0),
         26.73, 0.000187, JACOB + "Example 6.9, p. 298", NOTEBOOK, CHOPPED),
    Case("M-16", "gate time", lambda: switching.charge_time(44e-9, 25.0, 1.0),
         1.1e-6, 0.0455, JACOB + "Example 6.10, p. 305", NOTEBOOK, "40 mA as 1 V through 25 Ω"),
    Case("M-17", "load voltage", lambda: switching.divided(28.0, 0.575, 15.0),
         26.97, 0.000185, JACOB + "Example 6.11, p. 313", NOTEBOOK),
    Case("M-18", "output voltage", lambda: switching.divided(20.0, 1000.0, 6.0),
         0.12, 0.0417, MALVINO + "Example 14-3, p. 490", NOTEBOOK),
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
