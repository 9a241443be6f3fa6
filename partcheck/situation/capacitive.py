"""The start of a load with a capacitor at its input: a current that only resistance limits, for as long as it charges.

The capacitor is empty at each start, and the rail at its largest behind no resistance of its own: what is on the board
may hold it up. In the loop counts what the load states, and its cable as cold, and as much thicker than stated, as a
wire may be. The device behind the capacitor draws its running current meanwhile.
"""

from typing import TYPE_CHECKING, Any

from partcheck.board.loads import Capacitive
from partcheck.operations import NAN
from partcheck.physics import capacitors
from partcheck.requirement import Fact
from partcheck.situation.cold_copper import cold_ohms
from partcheck.situation.facts import combine
from partcheck.situation.many import show

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation


def charging(situation: "Situation", name: str, load: Capacitive, running: Fact) -> tuple[Fact, Fact]:
    """The largest current of all of a load at its start, A, and how long that counts, s."""
    missing = tuple(f"{name}.{key}" for key in ("capacitance", "series_resistance") if getattr(load, key) is None)
    if load.capacitance is None or load.series_resistance is None:
        return Fact(NAN, "", missing), Fact(NAN, "", missing)
    rail, ohms = situation.rail(load.rail).largest, _loop(situation, load)
    first = capacitors.charging_peak(rail.value, ohms)
    time = capacitors.charging_time(ohms, load.capacitance.max * load.count)
    words = (
        f"{name}: empty capacitor, {load.rail} {show(rail.value, 'V')} over {show(ohms, 'Ω')}, beside {running.source}"
    )
    inrush = combine(first + running.value, words, rail, running)
    return inrush, Fact(time, f"{name}: twice {show(ohms, 'Ω')} · capacitance, largest")


def _loop(situation: "Situation", load: Capacitive) -> Any:
    """Least resistance through which all of a load charges, Ω: its own in parallel, and the cable that they share."""
    assert load.series_resistance is not None
    own = load.series_resistance.min / load.count
    return own if load.cable is None else own + cold_ohms(situation, load.cable)
