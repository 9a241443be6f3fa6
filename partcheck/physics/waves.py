"""Root-mean-square currents of chopped loads, and of several that share a conductor."""

from collections.abc import Iterable, Sequence

from partcheck.operations import smaller, sqrt
from partcheck.physics import Number


def _of_one_duty(pairs: Iterable[tuple[Number, Number]]) -> list[tuple[Number, Number]]:
    """Currents of the same duty added up; a duty that is an array, or has a unit, stays by itself."""
    sums: dict[float, Number] = {}
    rest: list[tuple[Number, Number]] = []
    for current, duty in pairs:
        if isinstance(duty, float | int):
            sums[duty] = sums[duty] + current if duty in sums else current
        else:
            rest.append((current, duty))
    return [*((current, duty) for duty, current in sums.items()), *rest]


def sum_rms_aligned(currents: Sequence[Number], duties: Sequence[Number]) -> Number:
    """Root-mean-square current in A of several chopped loads in one conductor, phases aligned.

    ``currents`` (A) while on and ``duties`` (1), in step. All switch on together, so that currents add
    before they are squared: two overlap for the smaller of their duties, and no phase or frequency makes
    them overlap longer. Result √ΣΣ Ii·Ij·min(Di, Dj). The root of a sum of squares leaves out every
    overlap and is optimistic. Lengths that differ raise ValueError; no currents make 0.
    Source: definition of the root mean square (derivation; a test samples phases).

    >>> round(sum_rms_aligned([1.0, 2.0], [0.5, 0.25]), 4)
    1.5811
    """
    pairs = _of_one_duty(zip(currents, duties, strict=True))
    if not pairs:
        return 0.0
    # One square per duty and twice each overlap; the sum starts with a term so that it has a dimension.
    terms: list[Number] = []
    for i, (first, on) in enumerate(pairs):
        terms.append(first * first * on)
        terms += [2 * first * second * smaller(on, other) for second, other in pairs[:i]]
    total = terms[0]
    for term in terms[1:]:
        total = total + term
    effective: Number = sqrt(total)
    return effective
