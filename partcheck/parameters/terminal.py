"""Screw terminal: what its datasheet states."""

from partcheck.parameters.common import IDENTITY, K0, TEMPERATURE
from partcheck.parameters.declare import Axis, Kind, Parameter, Table

TERMINAL = Kind(
    "terminal",
    "Terminal",
    (
        *IDENTITY,
        Parameter("pitch", "e", "m", "distance from pole to pole", 1e-3, 0.05),
        Parameter("poles", "n", "", "number of poles", 1, 100),
        Parameter("rated_current", "I_N", "A", "rated current of a pole, never exceeded", 0.1, 500),
        Parameter("rated_ambient", "T_A", "°C", "highest ambient at which rated_current holds", K0, K0 + 150),
        Parameter("rated_voltage", "U_N", "V", "rated voltage between poles", 10, 2000),
        Parameter("wire_area", "A", "m²", "conductor cross-section it takes", 1e-8, 1e-3, ("min", "max")),
        Parameter("t_max", "T_max", "°C", "highest temperature of the terminal", K0 + 50, K0 + 250),
        Parameter("contact_resistance", "R_c", "Ω", "resistance of one pole", 1e-5, 0.2, ("min", "max")),
        Parameter("torque", "M", "N·m", "tightening torque", 0.05, 10),
    ),
    (
        Table(
            "current",
            "I",
            "A",
            "current of a pole against ambient temperature",
            0,
            500,
            (
                TEMPERATURE,
                Axis(
                    "basis",
                    "",
                    "",
                    "base curve as measured, or the maker's derated curve",
                    choices=("base", "derated"),
                ),
            ),
            rating=True,
        ),
    ),
)
