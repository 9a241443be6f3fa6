"""Indicator LED: what its datasheet states."""

from partcheck.parameters.common import HEAT, IDENTITY, TEMPERATURE, THETA_JA
from partcheck.parameters.declare import BOUNDS, Axis, Kind, Parameter, Table

COLOURS = ("red", "orange", "amber", "yellow", "green", "cyan", "blue", "violet", "white", "infrared")
IF = Axis("i_f", "I_F", "A", "forward current of the row", 1e-6, 10)

LED = Kind(
    "led",
    "LED",
    (
        *IDENTITY,
        Parameter("colour", "", "", "colour of the light", choices=COLOURS),
        Parameter("dominant_wavelength", "λ_d", "m", "dominant wavelength", 3.6e-7, 1.0e-6, BOUNDS),
        Parameter("viewing_angle", "2φ_½", "°", "full angle between the half-intensity directions", 5, 180),
        Parameter("if_peak", "I_FP", "A", "peak forward current, pulsed", 1e-4, 50),
        Parameter("if_peak_duty", "D", "", "largest duty for if_peak", 1e-5, 1),
        Parameter("if_peak_width", "t_p", "s", "longest pulse for if_peak", 1e-7, 1),
        Parameter("vr_max", "V_R", "V", "reverse voltage rating", 0.5, 100),
        Parameter("vf_tempco", "TC_V", "V/K", "forward voltage against temperature; negative", -0.01, 0, BOUNDS),
        *HEAT,
    ),
    (
        Table("vf", "V_F", "V", "forward voltage at 25 °C", 0.5, 60, (IF,), BOUNDS),
        Table("iv", "I_V", "cd", "luminous intensity at 25 °C", 1e-6, 1000, (IF,), BOUNDS),
        Table("flux", "Φ_V", "lm", "luminous flux at 25 °C", 1e-6, 10000, (IF,), BOUNDS),
        Table("relative_intensity", "I_V/I_V(test)", "", "light relative to the test current", 0, 100, (IF,), ("typ",)),
        Table("light_factor", "I_V/I_V(25 °C)", "", "light relative to 25 °C", 0.01, 3, (TEMPERATURE,), ("min", "typ")),
        Table(
            "if_max",
            "I_F",
            "A",
            "continuous forward current at an ambient temperature",
            0,
            10,
            (TEMPERATURE,),
            rating=True,
        ),
        THETA_JA,
    ),
)
