"""MOSFET: what its datasheet states."""

from partcheck.parameters.common import (
    CASE_OR_AMBIENT,
    HEAT,
    IDENTITY,
    JUNCTION,
    K0,
    PULSE_WIDTH,
    TEMPERATURE,
    THETA_JA,
    ZTH,
)
from partcheck.parameters.declare import BOUNDS, Axis, Kind, Parameter, Table

TYP_MAX = ("typ", "max")
VGS = Axis("vgs", "V_GS", "V", "gate-source voltage of the row", 0.5, 40)
ID = Axis("id", "I_D", "A", "drain current at which the row was measured", 1e-5, 2000, required=False)

MOSFET = Kind(
    "mosfet",
    "MOSFET",
    (
        *IDENTITY,
        Parameter("polarity", "", "", "channel", choices=("N", "P")),
        Parameter("vds_max", "V_DSS", "V", "drain-source rating", 5, 2000),
        Parameter("vgs_max", "V_GSS", "V", "gate-source rating, magnitude", 4, 60, magnitude=True),
        Parameter("vgs_th", "V_GS(th)", "V", "gate threshold at 25 °C (a leakage test, not 'on')", 0.1, 8, BOUNDS),
        Parameter("vgs_th_tempco", "dV_GS(th)/dT", "V/K", "threshold against temperature; negative", -0.02, 0),
        Parameter("qg", "Q_g", "C", "total gate charge", 1e-11, 1e-5, TYP_MAX),
        Parameter("qgs", "Q_gs", "C", "gate-source charge, to the start of the plateau", 1e-12, 1e-5, TYP_MAX),
        Parameter("qgd", "Q_gd", "C", "gate-drain (plateau) charge", 1e-12, 1e-5, BOUNDS),
        Parameter("v_plateau", "V_pl", "V", "gate plateau voltage at plateau_id", 0.5, 12, ("typ",)),
        Parameter("plateau_id", "I_D", "A", "drain current at which the plateau is stated", 1e-4, 2000),
        Parameter("ciss", "C_iss", "F", "input capacitance", 1e-13, 1e-6, TYP_MAX),
        Parameter("coss", "C_oss", "F", "output capacitance", 1e-14, 1e-6, TYP_MAX),
        Parameter("crss", "C_rss", "F", "reverse transfer capacitance", 1e-15, 1e-7, TYP_MAX),
        Parameter("rg_int", "R_g", "Ω", "internal gate resistance", 0.01, 200, BOUNDS),
        Parameter("igss", "I_GSS", "A", "gate leakage, worst stated", 1e-12, 1e-3, ("max",)),
        Parameter("ias", "I_AS", "A", "avalanche current rating", 1e-3, 2000),
        Parameter("eas", "E_AS", "J", "single-pulse avalanche energy", 1e-7, 100),
        Parameter("eas_start", "T_J", "°C", "junction temperature at which eas starts", K0, K0 + 200),
        Parameter("ear", "E_AR", "J", "repetitive avalanche energy", 1e-8, 10),
        *HEAT,
    ),
    (
        Table("rds_on", "R_DS(on)", "Ω", "on-resistance at 25 °C", 1e-4, 20, (VGS, ID), TYP_MAX),
        Table(
            "rds_on_factor",
            "R_DS(on)/R_DS(on)(25 °C)",
            "",
            "on-resistance relative to 25 °C",
            0.4,
            4,
            (JUNCTION,),
        ),
        Table(
            "id_max", "I_D", "A", "continuous drain current", 1e-3, 2000, (TEMPERATURE, CASE_OR_AMBIENT), rating=True
        ),
        Table("idm", "I_DM", "A", "pulsed drain current", 1e-3, 5000, (PULSE_WIDTH,), rating=True),
        Table(
            "soa",
            "I_D",
            "A",
            "safe operating area, single pulse at 25 °C: current at a drain voltage",
            1e-4,
            5000,
            (PULSE_WIDTH, Axis("vds", "V_DS", "V", "drain-source voltage", 0.01, 2000)),
            rating=True,
        ),
        Table("idss", "I_DSS", "A", "drain leakage", 1e-12, 1, (JUNCTION,)),
        Table("eas_factor", "E_AS/E_AS(25 °C)", "", "avalanche energy against start temperature", 0, 1, (JUNCTION,)),
        THETA_JA,
        ZTH,
    ),
)
