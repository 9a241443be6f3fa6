"""What every kind of part states: who makes it, its package, its heat path, its price and stock."""

from partcheck.parameters.declare import Axis, Parameter, Table

K0 = 273.15
STATUSES = ("active", "not-for-new-designs", "obsolete", "out-of-stock")

IDENTITY = (
    Parameter("part_number", "", "", "the maker's part number", text=True),
    Parameter("maker", "", "", "the manufacturer", text=True),
    Parameter("description", "", "", "a few words on the part", text=True),
    Parameter("package", "", "", "package name; published equivalents compare equal", text=True),
    Parameter("pin_order", "", "", "pin functions by pin number, such as G-D-S", text=True),
    Parameter("status", "", "", "availability", choices=STATUSES),
    Parameter("price", "", "", "price of one piece", 0, 1e5),
    Parameter("currency", "", "", "currency of the price, ISO 4217", text=True),
    Parameter("quantity", "", "", "pieces on hand", 0, 1e9),
    Parameter("datasheet", "", "", "document, revision and page the values come from", text=True),
    Parameter("notes", "", "", "anything else worth knowing", text=True),
)

HEAT = (
    Parameter("tj_max", "T_J", "°C", "highest junction temperature", K0 + 50, K0 + 250),
    Parameter("theta_jc", "R_θJC", "K/W", "thermal resistance, junction to case or solder point", 0.05, 1000),
)

MOUNTINGS = ("minimum", "free-air", "single-layer", "multilayer", "short-time")
THETA_JA = Table(
    "theta_ja",
    "R_θJA",
    "K/W",
    "thermal resistance from junction to ambient, per copper area and mounting; rows on a multilayer test "
    "board or for a short time are kept but prove nothing about a steady state on a small board",
    1,
    2000,
    (
        Axis("copper_area", "A_Cu", "m²", "copper of the test board; 0 for free air or the bare footprint", 0, 1),
        Axis("mounting", "", "", "how it was measured", choices=MOUNTINGS),
    ),
)
ZTH = Table(
    "zth",
    "Z_θ",
    "K/W",
    "transient thermal impedance for a single pulse",
    1e-6,
    2000,
    (
        Axis("pulse_width", "t_p", "s", "length of the pulse", 1e-7, 1e4),
        Axis("reference", "", "", "where the heat goes", choices=("case", "ambient")),
    ),
)
TEMPERATURE = Axis("temperature", "T", "°C", "temperature at which the row is stated", K0 - 65, K0 + 250)
JUNCTION = Axis("tj", "T_J", "°C", "junction temperature at which the row is stated", K0 - 65, K0 + 250)
CASE_OR_AMBIENT = Axis("reference", "", "", "which temperature it is", choices=("case", "ambient"))
PULSE_WIDTH = Axis("pulse_width", "t_p", "s", "length of the pulse", 1e-7, 1e4)
