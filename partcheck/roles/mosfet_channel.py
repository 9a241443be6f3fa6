"""What a MOSFET that is on drops and carries, from the stated rows of on-resistance, hot and cold.

A row says: with this gate voltage and this current the resistance is no larger, at 25 °C. A row measured at no less
than the current comes first; of those, or else of all, the least resistance counts. How far the channel narrows
above the current of the row, or with less gate voltage over the threshold than in the test, the square law says
(``physics.switching.channel_drop``). A junction that is hot takes a smaller current as the cool one takes a larger:
the factor of its resistance multiplies the current. Cooling raises the threshold and the mobility; only the first
counts. tests/roles/test_device_channel.py draws transistors that keep every stated row and solves them.
"""

from typing import Any, NamedTuple

from partcheck.operations import keep, larger, prefer, smaller
from partcheck.physics import switching
from partcheck.points import greatest, least
from partcheck.requirement import kept


class StatedRow(NamedTuple):
    """The row of on-resistance that counts: largest resistance Ω, gate voltage V, drain current A (0: not stated)."""

    resistance: Any
    vgs: Any
    current: Any


def row_at(p: Any, n: Any, current: Any) -> StatedRow:
    """The row that counts at a current: its gate voltage is reached."""
    made: StatedRow = kept(p, "row at", current, lambda: _row_at(p, n, current))
    return made


def _row_at(p: Any, n: Any, current: Any) -> StatedRow:
    none = 0.0 * current

    def given(row: Any, value: Any, from_current: Any) -> Any:
        reached = keep(keep(value, row.max, row.max), row.vgs, n.gate_high_min)
        return keep(reached, from_current, prefer(row.id, none))

    measured = least(p.rds_on, lambda row: given(row, row.max, current))
    resistance = prefer(measured, least(p.rds_on, lambda row: given(row, row.max, none)))
    start = prefer(keep(current, measured, measured), none)
    vgs = greatest(p.rds_on, lambda row: keep(given(row, row.vgs, start), row.max, resistance))

    def at(row: Any) -> Any:
        return keep(keep(given(row, prefer(row.id, none), start), row.max, resistance), vgs, row.vgs)

    return StatedRow(resistance, vgs, greatest(p.rds_on, at))


def hot_drop(p: Any, n: Any, current: Any, factor: Any) -> Any:
    """Drop at a current, with so many times the resistance at 25 °C.

    A hot threshold is lower, so the overdrive is not below that at 25 °C; a threshold that is not stated is not
    missed while the current times the factor is no more than that of the row.
    """
    row = row_at(p, n, current)
    over = switching.overdrive(row.vgs, p.vgs_th_max)
    straight = keep(current * factor * row.resistance, current * factor, row.current)
    return prefer(straight, switching.channel_drop(current * factor, row.resistance, row.current, over, over))


def _shift(p: Any, n: Any, temperature: Any) -> Any:
    """Rise of the threshold from 25 °C down to a temperature; none above."""
    risen = p.threshold_tempco * (smaller(temperature, n.t25) - n.t25)
    return prefer(keep(0.0 * n.gate_high_min, n.t25, temperature), risen)


def cold_drop(p: Any, n: Any, current: Any, temperature: Any) -> Any:
    """Drop at a current, of a junction at a temperature or warmer, up to 25 °C; missing where it passes less."""
    row, shift = row_at(p, n, current), _shift(p, n, temperature)
    over = switching.overdrive(row.vgs, p.vgs_th_max)
    left = smaller(n.gate_high_min - p.vgs_th_max - shift, over)
    straight = keep(keep(current * row.resistance, current, row.current), row.vgs + shift, n.gate_high_min)
    return prefer(straight, switching.channel_drop(current, row.resistance, row.current, over, left))


def carried(p: Any, n: Any, current: Any, factor: Any, temperature: Any) -> Any:
    """Largest current that surely passes in the ohmic region, hot and cold; the row is that of ``current``."""
    row, shift = row_at(p, n, current), _shift(p, n, temperature)
    over = switching.overdrive(row.vgs, p.vgs_th_max)
    left = larger(smaller(n.gate_high_min - p.vgs_th_max - shift, over), 0.0)
    hot = switching.channel_limit(row.resistance, row.current, over, over) / factor
    return smaller(hot, switching.channel_limit(row.resistance, row.current, over, left))
