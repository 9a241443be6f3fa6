"""In which order a person enters a part: groups as a datasheet has them, those that matter most first.

A name is a parameter (with its bounds) or a point table. Every one of a kind stands in exactly one group.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Group:
    """What is entered together; ``first`` marks what matters most, before anybody is asked whether to go on."""

    title: str
    names: tuple[str, ...]
    first: bool = True


def _group(title: str, names: str, first: bool = True) -> Group:
    return Group(title, tuple(names.split()), first)


_STOCK = _group("Stock and notes", "description status price currency quantity datasheet notes", False)

GROUPS: dict[str, tuple[Group, ...]] = {
    "mosfet": (
        _group("Identity", "part_number maker package pin_order polarity"),
        _group("Limits", "vds_max vgs_max id_max tj_max"),
        _group("Threshold", "vgs_th"),
        _group("On-resistance", "rds_on rds_on_factor"),
        _group("Heat", "theta_ja theta_jc"),
        _group("Leakage", "idss igss"),
        _group("Pulses and avalanche", "idm soa zth ias eas eas_start eas_factor ear", False),
        _group("Gate charge", "qg qgs qgd v_plateau plateau_id rg_int vgs_th_tempco", False),
        _group("Capacitances", "ciss coss crss", False),
        _STOCK,
    ),
    "bjt": (
        _group("Identity", "part_number maker package pin_order polarity"),
        _group("Limits", "vceo ic_max icm icm_width tj_max"),
        _group("Gain", "hfe hfe_factor"),
        _group("Saturation", "vce_sat vbe_sat"),
        _group("Heat", "theta_ja theta_jc"),
        _group("Off", "vbe_on icbo"),
        _group("Further ratings", "vcbo vebo ib_max rbsoa zth", False),
        _STOCK,
    ),
    "led": (
        _group("Identity", "part_number maker package pin_order colour"),
        _group("Limits", "if_max vr_max tj_max"),
        _group("Forward voltage", "vf"),
        _group("Light", "iv relative_intensity dominant_wavelength viewing_angle"),
        _group("Heat", "theta_ja theta_jc"),
        _group("Against temperature", "vf_tempco light_factor", False),
        _group("Pulses and flux", "if_peak if_peak_duty if_peak_width flux", False),
        _STOCK,
    ),
    "diode": (
        _group("Identity", "part_number maker package pin_order construction"),
        _group("Limits", "vrrm if_av ifrm ifsm tj_max"),
        _group("Forward voltage", "vf"),
        _group("Breakdown (Zener and TVS)", "standoff vbr clamping power_max pulse_energy pulse_power"),
        _group("Heat", "theta_ja theta_jc"),
        _group("Leakage and recovery", "ir trr"),
        _group("Further", "vfr impedance repetitive_energy zth", False),
        _STOCK,
    ),
    "regulator": (
        _group("Identity", "part_number maker package pin_order topology output"),
        _group("Output", "v_out iout_max iout_min"),
        _group("Adjustable output", "v_ref v_ref_from i_adj"),
        _group("Input", "vin_max vin_transient dropout iq"),
        _group("Heat", "tj_max theta_ja theta_jc"),
        _group("Output capacitor", "cout esr"),
        _group("Further", "load_regulation v_reverse", False),
        _STOCK,
    ),
    "terminal": (
        _group("Identity", "part_number maker package pin_order poles pitch"),
        _group("Ratings", "rated_current rated_ambient rated_voltage current t_max"),
        _group("Wire and contact", "wire_area contact_resistance torque"),
        _STOCK,
    ),
}
