"""Linear regulator: what its datasheet states."""

from partcheck.parameters.common import HEAT, IDENTITY, THETA_JA
from partcheck.parameters.declare import BOUNDS, Axis, Kind, Parameter, Table

IOUT = Axis("iout", "I_O", "A", "output current of the row", 0, 50)

REGULATOR = Kind(
    "regulator",
    "Linear regulator",
    (
        *IDENTITY,
        Parameter("topology", "", "", "how it regulates", choices=("linear",)),
        Parameter("output", "", "", "fixed or set by two resistors", choices=("fixed", "adjustable")),
        Parameter("v_out", "V_O", "V", "output voltage over line, load and temperature", 0.5, 60, BOUNDS),
        Parameter("v_ref", "V_REF", "V", "reference of an adjustable part, over temperature", 0.2, 10, BOUNDS),
        Parameter(
            "v_ref_from",
            "",
            "",
            "where v_ref is measured: ground to adjust pin (lower resistor), or adjust pin to output (upper resistor, "
            "floating three-terminal parts)",
            choices=("ground", "output"),
        ),
        Parameter("i_adj", "I_ADJ", "A", "current of the adjust pin", 0, 0.01, ("max",)),
        Parameter("vin_max", "V_I", "V", "highest continuous input voltage", 2, 150),
        Parameter("vin_transient", "V_I(pk)", "V", "highest input voltage for a short time", 2, 300),
        Parameter("iout_max", "I_O", "A", "rated output current", 1e-3, 50),
        Parameter("iout_min", "I_O(min)", "A", "load below which it does not regulate", 0, 1),
        Parameter("iq", "I_Q", "A", "current it takes for itself", 0, 1, ("typ", "max")),
        Parameter(
            "load_regulation", "ΔV_O", "V", "output change over the load, if not included in v_out", 0, 5, ("max",)
        ),
        Parameter("cout", "C_O", "F", "output capacitor it needs", 1e-9, 1, ("min", "max")),
        Parameter("esr", "ESR", "Ω", "series resistance the output capacitor may have", 0, 100, ("min", "max")),
        Parameter("v_reverse", "V_O-V_I", "V", "how far the output may be above the input", 0, 60, ("max",)),
        *HEAT,
    ),
    (
        Table("dropout", "V_DO", "V", "input above output still needed", 0.005, 10, (IOUT,), ("typ", "max")),
        THETA_JA,
    ),
)
