"""An NPN that is off: what its base is held at by the drive's low level, a base-emitter resistor and leakage.

With the drive low the base sees a divider: base resistor to the low level, base-emitter resistor to the emitter. The
hot collector-base leakage flows into both in parallel. A floating drive leaves the base-emitter resistor alone.
"""

from typing import Any

from partcheck.operations import exp, larger, prefer, smaller
from partcheck.physics import gain as bipolar
from partcheck.roles.off_state import leaks_onto


def base_voltage(p: Any, n: Any) -> Any:
    """Highest base-emitter voltage with the drive low, by its level with noise, and by leakage."""
    ahead = n.base_resistor_min + prefer(n.source_min, 0.0 * n.base_resistor_min)
    behind = n.base_resistor_max + prefer(n.source_max, 0.0 * n.base_resistor_max)
    return n.low_max / (1.0 + ahead / n.base_emitter_max) + p.icbo_hot / (1.0 / behind + 1.0 / n.base_emitter_max)


def leakage(p: Any, n: Any) -> Any:
    """Largest collector current while off: what a base held that low carries, at most the leakage of an open base.

    Under the voltage at which it counts as off the current falls by the junction's law; twice that is counted, as a
    hot junction may fall a little over 2 mV/K. Where the drive may float, the base-emitter resistor alone holds it.
    """
    held = base_voltage(p, n)
    leaking = p.icbo_hot + leaks_onto(n)
    held = prefer(larger(held, n.drive_floats * leaking * n.hold_max), held + 0.0 * leaks_onto(n) * n.base_resistor_max)
    thermal = n.kelvin_voltage * larger(p.tj_peak, n.t25)
    carried = p.icbo_hot + 2.0 * n.off_current * exp((held - p.vbe_off) / thermal)
    amplified = bipolar.common_emitter_leakage(leaking, p.hfe_hot)
    return prefer(smaller(carried, amplified), prefer(amplified, carried))
