"""Formulas, one module per subject: pure functions of SI numbers, with the source beside each.

* ``heat``: thermal resistance, junction temperature, derating with temperature
* ``switching``: a MOSFET that turns on, conducts and turns off
* ``coils``: winding resistance, decay of the current through a clamp, avalanche
* ``cables``: inductance of wires, the wave on a cable that is switched off, the rise behind a feed
* ``gain``: a saturated bipolar transistor and its base circuit
* ``light``: LED current, flux, and how a change of brightness looks
* ``conductors``: wires, tracks, terminals; ``conductor_data`` holds the published tables it reads
* ``regulators``: heat, input and efficiency of a linear regulator
* ``preferred``: resistor values of IEC 60063
* ``waves``: root-mean-square currents of chopped loads

A formula is called with floats, traced numbers, columns or quantities that carry dimensions, so it
uses nothing but ``+ - * /`` and :mod:`partcheck.operations`: it cannot branch, and missing in is
missing out. A reference temperature or the unit of a fit is therefore an argument with a default: a
check of dimensions hands in the same number as a quantity.

Look-ups in tables, preferred values and words for the eye are ordinary Python on plain numbers; they
say so, and a look-up gives None where nothing is stated.
"""

from typing import Final, TypeAlias

from partcheck.operations import Value

Number: TypeAlias = Value | float
"""What a formula takes and gives, in any reading."""

K20: Final = 293.15
"""20 °C in kelvin: where conductors are stated."""
K25: Final = 298.15
"""25 °C in kelvin: where most datasheet values are stated."""
