"""What a load draws over time, as one profile, and what of it a body that answers slowly takes for its average.

A load carries one current while on, and at each start, for a while, an inrush or a stall above it; it may be
chopped. A body follows what lasts longer than it takes to warm: that counts as steady. What is over sooner counts
by its average, of the power or of the squared current. How slow a body is says its datasheet (transient impedance,
``roles/transient.py``), else one of the times below.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from partcheck.physics import waves
from partcheck.requirement import Fact
from partcheck.situation.facts import combine
from partcheck.situation.loads import LoadState
from partcheck.situation.many import highest, largest_of, least_of, many, one_above, show

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

JUNCTION_STILL = 1e-3
"""s: a pulse up to this length heats a junction by its average (common practice, no published source)."""
RESISTOR_STILL = 0.1
"""s: periods up to this length heat a resistor by their average (common practice, no published source)."""
CONDUCTOR_STILL = 1.0
"""s: a start over by then, and periods up to it, heat wires, poles and tracks by their average (common practice,
no published source)."""

Layer = tuple[Any, Any]
"""A current (A) on top of the layers before it, and its share of the time."""


@dataclass(frozen=True)
class Profile:
    """One load (all of its ``count`` together) over time.

    ``steady`` is what it carries while on, ``start`` the largest current of a start or a stall (the steady one where
    it has none), ``start_time`` how long that lasts (s), ``rate`` how often it is switched on and off (1/s, None
    where not stated: one start from the hot steady state). ``duty`` is the largest share of the time on where it is
    chopped with ``frequency`` (Hz, 0 where it is not).
    """

    name: str
    steady: Fact
    start: Fact
    start_time: Any
    rate: Any
    duty: Any
    frequency: float

    def start_share(self, still: float) -> Any:
        """Share of the time that starts take for a body that averages what is over in ``still`` seconds, 0..1."""
        return start_share(self.start_time, self.rate, still)

    def averaged_duty(self, still: float) -> Any:
        """Share of the time on; all of it for a body that follows the chopping."""
        return averaged_duty(self.duty, self.frequency, still)

    def layers(self, still: float) -> list[Layer]:
        """Its currents one upon the other, each with its share of the time; what a start adds lies on top."""
        share, duty = self.start_share(still), self.averaged_duty(still)
        if not many(share) and share == 0:
            return [(self.steady.value, duty)]
        if not many(share) and share == 1:
            return [(self.start.value, duty)]
        return [(self.steady.value, duty), (self.start.value - self.steady.value, least_of([share, duty]))]

    def lasting(self, still: float) -> Fact:
        """Largest r.m.s. current while on, its starts counted with their share of the time, A."""
        share = self.start_share(still)
        if not many(share) and share in (0, 1):
            return self.start if share else self.steady
        extra = self.start.value - self.steady.value
        effective = waves.sum_rms_aligned([self.steady.value, extra], [1.0, share])
        often = f"{show(self.start.value, 'A')} for {show(self.start_time, 's')}, {show(self.rate, '1/s')}"
        return combine(effective, f"{self.name} r.m.s. with its starts ({often})", self.steady, self.start)


def start_share(time: Any, rate: Any, still: float) -> Any:
    """Share of the time (0..1) that counts as ``time`` s long starts, ``rate`` of them a second.

    All of it where one start lasts longer than ``still``: for the body that is steady.
    """
    often = 0.0 if rate is None else rate
    return largest_of([one_above(time, still), least_of([1.0, often * time])])


def averaged_duty(duty: Any, frequency: float, still: float) -> Any:
    """The duty where the period of a chopping is at most ``still`` s; else 1: what is on for long is on."""
    return duty if frequency and 1.0 / frequency <= still else 1.0


def profile_of(state: LoadState) -> Profile:
    """The profile of a load, from its currents."""
    start, time = state.heating, 0.0
    if state.inrush.value is not None:
        start, time = highest([state.heating, state.inrush]), state.inrush_time.value
    return Profile(state.name, state.heating, start, time, state.rate, state.duty.max, state.frequency)


def profile(situation: "Situation", name: str) -> Profile:
    """The profile of a load, or of an indicator that a switch pulls."""
    return profile_of(situation.load(name))
