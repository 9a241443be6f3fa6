"""What a load draws over time, as one profile, and what of it a body that answers slowly takes for its average.

A load carries one current while on, and at each start, for a while, an inrush or a stall above it; it may be
chopped. A body follows what lasts longer than it takes to warm: that counts as steady. What is over sooner counts
by its average, of the power or of the squared current. How slow a body is says its datasheet (transient impedance,
``roles/transient.py``), else one of the times below.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from partcheck.physics import waves
from partcheck.requirement import Fact
from partcheck.situation.facts import combine, total
from partcheck.situation.loads import LoadState
from partcheck.situation.many import Partly, highest, largest_of, least_of, many, nowhere_above, one_above, show

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

JUNCTION_STILL = 1e-3
"""s: a pulse up to this length warms a junction no more than ``DIE_IMPEDANCE`` allows (common practice, no published
source)."""
DIE_IMPEDANCE = 40.0
"""K/W: what a small die has at most at the end of a pulse of 1 ms; a shorter one goes with the root of its length
(common practice, no published source: 0.25 mm² of deep silicon make some 10 K/W)."""
CASE_STILL = 0.01
"""s: a pulse in which a case hardly warms (common practice, no published source)."""
RESISTOR_STILL = 0.1
"""s: periods up to this length heat a resistor by their average (common practice, no published source)."""
SETTLED = 1000.0
"""s: after this long a part on a board is as warm as it gets (common practice, no published source)."""
CONDUCTOR_STILL = 1.0
"""s: a start over by then, and periods up to it, heat wires, poles and tracks by their average (common practice,
no published source); of wires and tracks the copper alone warms on top (``brief.py``)."""

Layer = tuple[Any, Any]
"""A current (A) on top of the layers before it, and its share of the time."""


@dataclass(frozen=True)
class Profile:
    """One load (all of its ``count`` together) over time.

    ``steady`` is what it carries while on, ``start`` the largest current of a start or a stall (the steady one where
    it has none), ``start_time`` how long that lasts (s), ``rate`` how often it is switched on and off (1/s, None
    where not stated: then starts are bounded, as if they followed each other without end). ``duty`` is the largest
    share of the time on where it is chopped with ``frequency`` (Hz, 0 where it is not). ``starts`` is true where it
    starts with an inrush or a stall.
    """

    name: str
    steady: Fact
    start: Fact
    start_time: Any
    rate: Any
    duty: Any
    frequency: float
    starts: bool = False

    def start_share(self, still: float) -> Any:
        """Share of the time that starts take for a body that averages what is over in ``still`` seconds, 0..1."""
        return start_share(self.start_time, self.rate, still)

    def unsaid(self, still: float) -> tuple[str, ...]:
        """The rate that is missing where it starts with more than what lasts, but too briefly to count as lasting."""
        short = 1.0 - one_above(self.start_time, still)
        if self.rate is not None or not self.starts or nowhere_above(short, 0.0):
            return ()
        if nowhere_above(self.start.value, self.steady.value):
            return ()
        name = f"{self.name}.rate"
        return (Partly(name, short > 0.0) if many(short) else name,)

    def averaged_duty(self, still: float) -> Any:
        """Share of the time on; all of it for a body that follows the chopping."""
        return averaged_duty(self.duty, self.frequency, still)

    def brief(self, still: float) -> Any:
        """Longest time for which it carries more than the average of a body that averages over ``still``, s."""
        start = self.start_time * (1.0 - one_above(self.start_time, still)) if self.starts else 0.0
        averaged = self.frequency and 1.0 / self.frequency <= still
        return largest_of([start, self.duty / self.frequency if averaged else 0.0])

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
        unsaid = self.unsaid(still)
        if unsaid:
            return combine(self.start.value, self.start.source, self.start, Fact(0.0, bounded=unsaid))
        if not many(share) and share in (0, 1):
            return self.start if share else self.steady
        extra = self.start.value - self.steady.value
        effective = waves.sum_rms_aligned([self.steady.value, extra], [1.0, share])
        often = f"{show(self.start.value, 'A')} for {show(self.start_time, 's')}, {show(self.rate, '1/s')}"
        return combine(effective, f"{self.name} r.m.s. with its starts ({often})", self.steady, self.start)


def start_share(time: Any, rate: Any, still: float) -> Any:
    """Share of the time (0..1) that counts as ``time`` s long starts, ``rate`` of them a second.

    All of it where one start lasts longer than ``still``: for the body that is steady; and where no rate is known.
    """
    counted = one_above(time, 0.0) if rate is None else least_of([1.0, rate * time])
    return largest_of([one_above(time, still), counted])


def averaged_duty(duty: Any, frequency: float, still: float) -> Any:
    """The duty where the period of a chopping is at most ``still`` s; else 1: what is on for long is on."""
    return duty if frequency and 1.0 / frequency <= still else 1.0


def profile_of(state: LoadState) -> Profile:
    """The profile of a load, from its currents."""
    start, time, starts = state.heating, 0.0, state.inrush.value is not None
    if starts:
        start, time = highest([state.heating, state.inrush]), state.inrush_time.value
    return Profile(state.name, state.heating, start, time, state.rate, state.duty.max, state.frequency, starts)


def profile(situation: "Situation", name: str) -> Profile:
    """The profile of a load, or of an indicator that a switch pulls."""
    return profile_of(situation.load(name))


@dataclass(frozen=True)
class Start:
    """What several loads draw together when one switch turns them on, as one rectangle.

    ``any`` is 1 where one of them starts with an inrush or a stall; ``current`` A; ``time`` s, without end where none
    does; ``share`` of the time that starts take; ``long`` 1 where one lasts longer than wires, poles and the air of an
    enclosure average.
    """

    any: Fact
    current: Fact
    time: Fact
    share: Fact
    long: Fact


class DieFacts:
    """The facts of a place about what any die and case do in a pulse of which its datasheet says nothing."""

    def junction_still(self) -> Fact:
        return Fact(JUNCTION_STILL, "common practice: within 1 ms heat hardly leaves the die")

    def die_impedance(self) -> Fact:
        return Fact(DIE_IMPEDANCE, "common practice: a small die after 1 ms; less with the root of the time")

    def case_still(self) -> Fact:
        return Fact(CASE_STILL, "common practice: a case hardly warms within 10 ms")


class StartFacts:
    """The facts of a place about the start of what it carries."""

    start: Any
    """A :class:`Start`."""

    def starts(self) -> Fact:
        made: Fact = self.start.any
        return made

    def start_current(self) -> Fact:
        made: Fact = self.start.current
        return made

    def start_time(self) -> Fact:
        made: Fact = self.start.time
        return made

    def start_share(self) -> Fact:
        made: Fact = self.start.share
        return made

    def settled_time(self) -> Fact:
        return Fact(SETTLED, "common practice: a part on a board is as warm as it gets")

    def long_start(self) -> Fact:
        made: Fact = self.start.long
        return made


def start_of(states: Iterable[LoadState]) -> Start:
    """The start of what one switch turns on together."""
    found = [profile_of(state) for state in states]
    current = total([(one.name, one.start) for one in found], "A")
    times = [one.start_time for one in found if one.starts]
    if not times:
        none = Fact(0.0, "it starts with what it runs at")
        return Start(none, current, Fact(math.inf, none.source), none, none)
    time, rates = largest_of(times), [one.rate for one in found if one.rate is not None]
    rate = largest_of(rates) if rates else None
    unsaid = tuple(f"{one.name}.rate" for one in found if one.starts) if rate is None else ()
    often = "no rate is stated: as if it started again and again" if rate is None else show(rate, "1/s")
    share = Fact(start_share(time, rate, math.inf), f"{show(time, 's')}, {often}", bounded=unsaid)
    long = Fact(one_above(time, CONDUCTOR_STILL), f"{show(time, 's')} against {show(CONDUCTOR_STILL, 's')}")
    names = " and ".join(one.name for one in found if one.starts)
    return Start(Fact(1.0, names), current, Fact(time, names), share, long)


def longest_on(states: Iterable[LoadState]) -> Fact:
    """Longest time that loads on one switch are on without a break, s; without end where they are not chopped."""
    times = [state.duty.max / state.frequency if state.frequency else math.inf for state in states]
    longest = largest_of(times)
    return Fact(longest, "not chopped" if not many(longest) and longest == math.inf else "largest duty / frequency")
