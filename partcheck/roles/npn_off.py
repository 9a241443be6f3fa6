"""An NPN that is off: what its base is held at by the drive's low level, a base-emitter resistor and leakage.

With the drive low the base sees a divider: base resistor to the low level, base-emitter resistor to the emitter. The
hot collector-base leakage flows into both in parallel. A floating drive leaves the base-emitter resistor alone.
"""

from typing import Any

from partcheck.operations import assume, exp, keep, larger, prefer
from partcheck.physics import gain as bipolar
from partcheck.points import least
from partcheck.roles.common import smaller_known
from partcheck.roles.off_state import leaks_onto


def _divided(n: Any) -> Any:
    """The drive's highest low level with noise, as the base resistor and the base-emitter resistor divide it."""
    ahead = n.base_resistor_min + prefer(n.source_min, 0.0 * n.base_resistor_min)
    return n.low_max / (1.0 + ahead / n.base_emitter_max)


def base_voltage(p: Any, n: Any) -> Any:
    """Highest base-emitter voltage with the drive low, by its level with noise, and by leakage."""
    behind = n.base_resistor_max + assume(n.source_max, n.assumed_drive_resistance)
    return _divided(n) + p.icbo_hot / (1.0 / behind + 1.0 / n.base_emitter_max)


def _carried(p: Any, n: Any, volts: Any) -> Any:
    """Largest collector current with the base at a voltage, by the junction's law from a stated least voltage.

    Of one that is assumed twice the current that counts as off, as a hot junction may fall a little over 2 mV/K.
    """
    hottest = larger(p.tj_peak, n.t25)

    def of(row: Any) -> Any:
        return bipolar.junction_current(volts, row.min, row.ic, hottest, n.t25, n.kelvin_voltage, n.band_gap)

    assumed = 2.0 * n.off_current * exp((volts - p.vbe_off) / (n.kelvin_voltage * hottest))
    return p.icbo_hot + prefer(least(p.vbe_on, of), assumed)


def leakage(p: Any, n: Any) -> Any:
    """Largest collector current while off: what a base held that low carries, at most that of an open base.

    Under the voltage at which it counts as off the current falls by the junction's law. Where the drive may float, the
    base-emitter resistor alone holds it. A base that stands at the divided low level or above takes no current from
    the drive, so that its leakage alone is amplified; under that level it carries no more than at it.
    """
    held = base_voltage(p, n)
    leaking = p.icbo_hot + leaks_onto(n)
    held = prefer(larger(held, n.drive_floats * leaking * n.hold_max), held + 0.0 * leaks_onto(n) * n.base_resistor_max)
    carried = _carried(p, n, held)
    driven = prefer(keep(p.icbo_hot, n.low_max, 0.0 * n.low_max), _carried(p, n, _divided(n)))
    amplified = larger(bipolar.common_emitter_leakage(leaking, p.hfe_hot), driven)
    return smaller_known(amplified, carried)
