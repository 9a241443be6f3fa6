"""The first catalog: a table per kind of part, a table per point table, sources and history."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

# What every kind states; T: marks a text, anything else is a number.
IDENTITY = (
    "T:part_number T:maker T:description T:package T:pin_order T:status price T:currency quantity "
    "T:datasheet T:notes"
)

# What each kind states besides.
KINDS = {
    "mosfet": (
        "T:polarity vds_max vgs_max vgs_th_min vgs_th_typ vgs_th_max vgs_th_tempco qg_typ qg_max qgs_typ "
        "qgs_max qgd_min qgd_typ qgd_max v_plateau_typ plateau_id ciss_typ ciss_max coss_typ coss_max "
        "crss_typ crss_max rg_int_min rg_int_typ rg_int_max igss_max ias eas eas_start ear tj_max "
        "theta_jc"
    ),
    "bjt": "T:polarity vceo vcbo vebo ic_max icm icm_width ib_max tj_max theta_jc",
    "led": (
        "T:colour dominant_wavelength_min dominant_wavelength_typ dominant_wavelength_max viewing_angle "
        "if_peak if_peak_duty if_peak_width vr_max vf_tempco_min vf_tempco_typ vf_tempco_max tj_max "
        "theta_jc"
    ),
    "diode": (
        "T:construction vrrm ifrm trr_typ trr_max vfr_max standoff vbr_min vbr_typ vbr_max power_max "
        "pulse_energy repetitive_energy tj_max theta_jc"
    ),
    "regulator": (
        "T:topology T:output v_out_min v_out_typ v_out_max v_ref_min v_ref_typ v_ref_max T:v_ref_from "
        "i_adj_max vin_max vin_transient iout_max iout_min iq_typ iq_max load_regulation_max cout_min "
        "cout_max esr_min esr_max v_reverse_max tj_max theta_jc"
    ),
    "terminal": (
        "pitch poles rated_current rated_ambient rated_voltage wire_area_min wire_area_max t_max "
        "contact_resistance_min contact_resistance_max torque"
    ),
}

# Of each point table: its conditions (? marks one that may be blank), then its values.
POINTS = {
    "mosfet_rds_on": ("mosfet", "vgs id?", "typ max"),
    "mosfet_rds_on_factor": ("mosfet", "tj", "max"),
    "mosfet_id_max": ("mosfet", "temperature T:reference", "max"),
    "mosfet_idm": ("mosfet", "pulse_width", "max"),
    "mosfet_soa": ("mosfet", "pulse_width vds", "max"),
    "mosfet_idss": ("mosfet", "tj", "max"),
    "mosfet_eas_factor": ("mosfet", "tj", "max"),
    "mosfet_theta_ja": ("mosfet", "copper_area T:mounting", "max"),
    "mosfet_zth": ("mosfet", "pulse_width T:reference", "max"),
    "bjt_hfe": ("bjt", "ic vce", "min typ max"),
    "bjt_hfe_factor": ("bjt", "tj", "min max"),
    "bjt_vce_sat": ("bjt", "ic ib", "typ max"),
    "bjt_vbe_sat": ("bjt", "ic ib", "min typ max"),
    "bjt_vbe_on": ("bjt", "ic vce", "min max"),
    "bjt_icbo": ("bjt", "tj", "max"),
    "bjt_rbsoa": ("bjt", "vce", "max"),
    "bjt_theta_ja": ("bjt", "copper_area T:mounting", "max"),
    "bjt_zth": ("bjt", "pulse_width T:reference", "max"),
    "led_vf": ("led", "i_f", "min typ max"),
    "led_iv": ("led", "i_f", "min typ max"),
    "led_flux": ("led", "i_f", "min typ max"),
    "led_relative_intensity": ("led", "i_f", "typ"),
    "led_light_factor": ("led", "temperature", "min typ"),
    "led_if_max": ("led", "temperature", "max"),
    "led_theta_ja": ("led", "copper_area T:mounting", "max"),
    "diode_vf": ("diode", "i_f", "typ max"),
    "diode_if_av": ("diode", "temperature T:reference", "max"),
    "diode_ifsm": ("diode", "pulse_width", "max"),
    "diode_ir": ("diode", "tj", "max"),
    "diode_clamping": ("diode", "ipp", "max"),
    "diode_impedance": ("diode", "iz", "max"),
    "diode_pulse_power": ("diode", "pulse_width", "max"),
    "diode_theta_ja": ("diode", "copper_area T:mounting", "max"),
    "diode_zth": ("diode", "pulse_width T:reference", "max"),
    "regulator_dropout": ("regulator", "iout", "typ max"),
    "regulator_theta_ja": ("regulator", "copper_area T:mounting", "max"),
    "terminal_current": ("terminal", "temperature T:basis", "max"),
}


def _column(mark: str, nullable: bool = True) -> sa.Column[Any]:
    name = mark.removeprefix("T:").removesuffix("?")
    value: Any = sa.Text() if mark.startswith("T:") else sa.Double()
    return sa.Column(name, value, nullable=nullable)


def _kind(name: str, own: str) -> None:
    columns = [_column(c, c not in ("T:part_number", "T:maker")) for c in f"{IDENTITY} {own}".split()]
    op.create_table(
        name,
        sa.Column("id", sa.Integer(), nullable=False),
        *columns,
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        sa.UniqueConstraint("part_number", "maker", name=f"uq_{name}_part_number_maker"),
    )


def _points(name: str, kind: str, axes: str, values: str) -> None:
    op.create_table(
        name,
        sa.Column("part_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("place", sa.Integer(), autoincrement=False, nullable=False),
        *(_column(axis, axis.endswith("?")) for axis in axes.split()),
        *(_column(value) for value in values.split()),
        sa.PrimaryKeyConstraint("part_id", "place", name=f"pk_{name}"),
        sa.ForeignKeyConstraint(["part_id"], [f"{kind}.id"], name=f"fk_{name}_part_id"),
    )


def upgrade() -> None:
    """Make all tables."""
    for name, own in KINDS.items():
        _kind(name, own)
    for name, (kind, axes, values) in POINTS.items():
        _points(name, kind, axes, values)
    texts = ("document", "revision", "page", "condition", "entered_by", "entered_on")
    op.create_table(
        "provenance",
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("part_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("parameter", sa.Text(), nullable=False),
        *(sa.Column(name, sa.Text()) for name in texts),
        sa.Column("measured", sa.Integer()),
        sa.PrimaryKeyConstraint("kind", "part_id", "parameter", name="pk_provenance"),
    )
    op.create_table(
        "history",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("column", sa.Text(), nullable=False),
        sa.Column("former", sa.Text()),
        sa.Column("new", sa.Text()),
        sa.Column("changed_by", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_history"),
    )
    op.create_index("ix_history_kind_part_id", "history", ["kind", "part_id"])
