"""The one registry of Pint's units in a test process, as making one takes a second."""

import pint

UNITS: "pint.UnitRegistry[float]" = pint.UnitRegistry()
