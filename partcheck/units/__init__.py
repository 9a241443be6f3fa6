"""Numbers with units: strict reading, tolerant of spelling, never of doubt.

Values are SI floats, with two habits of the trade: a temperature (unit ``°C``) is kept in kelvin and
an angle (unit ``°``) in degrees.  What could be read in two ways is refused with one sentence that
says what was read, what is wanted and what to write instead.

>>> parse("28 mΩ", "Ω"), parse("4k7", "Ω"), parse_span("12 V ±5 %", "V").min
(0.028, 4700.0, 11.4)
>>> show(0.0085, "Ω"), suggest(28.0, "Ω", 1e-4, 1.0)
('8.5 mΩ', '28 mΩ')
"""

from partcheck.units.known import UNITS, ZERO_CELSIUS, Span, Unit
from partcheck.units.quantity import awg_area, is_unit, unit_power
from partcheck.units.reading import parse, parse_span, suggest
from partcheck.units.showing import json_unit, show, show_span, to_json

__all__ = [
    "UNITS",
    "ZERO_CELSIUS",
    "Span",
    "Unit",
    "awg_area",
    "is_unit",
    "json_unit",
    "parse",
    "parse_span",
    "show",
    "show_span",
    "suggest",
    "to_json",
    "unit_power",
]
