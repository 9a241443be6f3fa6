"""Every datasheet parameter, declared once; one file per kind of part."""

from partcheck.parameters.bjt import BJT
from partcheck.parameters.declare import BOUNDS, Axis, Kind, Parameter, Table
from partcheck.parameters.diode import DIODE
from partcheck.parameters.led import LED
from partcheck.parameters.mosfet import MOSFET
from partcheck.parameters.regulator import REGULATOR
from partcheck.parameters.terminal import TERMINAL

KINDS: dict[str, Kind] = {kind.name: kind for kind in (MOSFET, BJT, LED, DIODE, REGULATOR, TERMINAL)}

__all__ = ["BOUNDS", "KINDS", "Axis", "Kind", "Parameter", "Table"]
