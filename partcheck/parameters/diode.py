"""Diodes that rectify, and diodes that clamp: what their datasheets state."""

from partcheck.parameters.common import HEAT, IDENTITY, JUNCTION, PULSE_WIDTH, TEMPERATURE, THETA_JA, ZTH
from partcheck.parameters.declare import BOUNDS, Axis, Kind, Parameter, Table

CONSTRUCTIONS = ("rectifier", "fast-rectifier", "schottky", "signal", "zener", "tvs", "tvs-bidirectional")
IF = Axis("i_f", "I_F", "A", "forward current of the row", 1e-6, 1000)
LEAD_OR_AMBIENT = Axis("reference", "", "", "which temperature it is", choices=("lead", "case", "ambient"))

DIODE = Kind(
    "diode",
    "Diode",
    (
        *IDENTITY,
        Parameter("construction", "", "", "type of diode", choices=CONSTRUCTIONS),
        Parameter("vrrm", "V_RRM", "V", "repetitive reverse voltage", 5, 10000),
        Parameter("ifrm", "I_FRM", "A", "repetitive peak forward current", 1e-3, 5000),
        Parameter("trr", "t_rr", "s", "reverse recovery time", 1e-10, 1e-3, ("typ", "max")),
        Parameter("vfr", "V_FR", "V", "forward recovery peak voltage", 0.2, 200, ("max",)),
        Parameter("standoff", "V_WM", "V", "working stand-off voltage of a clamp", 1, 1000),
        Parameter("vbr", "V_BR", "V", "breakdown (Zener) voltage at its test current", 1, 1500, BOUNDS),
        Parameter("power_max", "P_tot", "W", "steady power at 25 °C", 1e-3, 500),
        Parameter("pulse_energy", "E_P", "J", "energy of one pulse", 1e-7, 1000),
        Parameter("repetitive_energy", "E_R", "J", "energy of each of many pulses", 1e-8, 100),
        *HEAT,
    ),
    (
        Table("vf", "V_F", "V", "forward voltage at 25 °C", 0.05, 20, (IF,), ("typ", "max")),
        Table(
            "if_av", "I_F(AV)", "A", "average forward current", 1e-3, 1000, (TEMPERATURE, LEAD_OR_AMBIENT), rating=True
        ),
        Table("ifsm", "I_FSM", "A", "surge current of a single fault", 1e-3, 20000, (PULSE_WIDTH,), rating=True),
        Table("ir", "I_R", "A", "reverse leakage at the rated voltage", 1e-13, 1, (JUNCTION,)),
        Table(
            "clamping",
            "V_C",
            "V",
            "clamping voltage at a pulse current",
            1,
            3000,
            (Axis("ipp", "I_PP", "A", "pulse current of the row", 1e-4, 10000),),
        ),
        Table(
            "impedance",
            "Z_Z",
            "Ω",
            "Zener impedance at a Zener current",
            1e-3,
            10000,
            (Axis("iz", "I_Z", "A", "Zener current of the row", 1e-6, 100),),
        ),
        Table("pulse_power", "P_PP", "W", "power of one pulse of that length", 0.01, 1e6, (PULSE_WIDTH,), rating=True),
        THETA_JA,
        ZTH,
    ),
)
