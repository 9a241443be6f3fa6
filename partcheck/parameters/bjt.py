"""Bipolar transistor: what its datasheet states."""

from partcheck.parameters.common import HEAT, IDENTITY, JUNCTION, THETA_JA, ZTH
from partcheck.parameters.declare import BOUNDS, Axis, Kind, Parameter, Table

IC = Axis("ic", "I_C", "A", "collector current of the row", 1e-6, 200)
IB = Axis("ib", "I_B", "A", "base current of the row", 1e-7, 50)
VCE = Axis("vce", "V_CE", "V", "collector-emitter voltage of the row", 0.05, 500)

BJT = Kind(
    "bjt",
    "Bipolar transistor",
    (
        *IDENTITY,
        Parameter("polarity", "", "", "type", choices=("NPN", "PNP")),
        Parameter("vceo", "V_CEO", "V", "collector-emitter rating, base open", 3, 2000),
        Parameter("vcbo", "V_CBO", "V", "collector-base rating", 3, 2500),
        Parameter("vebo", "V_EBO", "V", "emitter-base rating", 1, 50),
        Parameter("ic_max", "I_C", "A", "continuous collector current", 1e-3, 200),
        Parameter("icm", "I_CM", "A", "peak collector current", 1e-3, 400),
        Parameter("icm_width", "t_p", "s", "longest pulse for which icm holds", 1e-7, 10),
        Parameter("ib_max", "I_B", "A", "continuous base current", 1e-4, 50),
        *HEAT,
    ),
    (
        Table("hfe", "h_FE", "", "direct-current gain at 25 °C", 1, 100000, (IC, VCE), BOUNDS),
        Table("hfe_factor", "h_FE/h_FE(25 °C)", "", "gain relative to 25 °C", 0.1, 3, (JUNCTION,), ("min", "max")),
        Table("vce_sat", "V_CE(sat)", "V", "saturation voltage", 0.01, 5, (IC, IB), ("typ", "max")),
        Table("vbe_sat", "V_BE(sat)", "V", "base-emitter voltage, saturated", 0.3, 4, (IC, IB), BOUNDS),
        Table("vbe_on", "V_BE(on)", "V", "base-emitter voltage, barely conducting", 0.2, 3, (IC, VCE), ("min", "max")),
        Table("icbo", "I_CBO", "A", "collector-base leakage", 1e-13, 0.1, (JUNCTION,)),
        Table("rbsoa", "I_C", "A", "reverse-bias safe operating area at turn-off", 1e-4, 400, (VCE,), rating=True),
        THETA_JA,
        ZTH,
    ),
)
