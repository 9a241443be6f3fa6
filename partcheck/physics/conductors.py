"""Wires, tracks and terminals: resistance, drop, what they may carry, how far apart they must be.

Lengths m, areas m², resistances Ω, currents A, voltages V, temperatures K. The formulas come first; the
look-ups after them are ordinary Python on plain numbers and give None where nothing is stated.
"""

from collections.abc import Iterable
from typing import Final

from partcheck.errors import UsageError
from partcheck.operations import keep, power
from partcheck.physics import K20, Number
from partcheck.physics.conductor_data import (
    CONDUCTOR_ALPHA,
    IACS_RESISTIVITY,
    INSULATION_FACTORS,
    SPACING_COLUMNS,
    SPACING_TABLES,
    SQUARE_MIL,
    WIRE_TABLES,
)
from partcheck.physics.heat import square_root_law
from partcheck.units import awg_area as awg_area  # one definition, offered here with the other conductors

TRACK_OUTSIDE: Final = 0.048
TRACK_INSIDE: Final = 0.024
"""The constant k of the IPC-2221 fit for tracks on the outside and on the inside of a board."""
TRACK_NEWER: Final = 0.7
"""Share of the current by the outside fit that newer charts allow: there the inside fit, half of it, gives about 70 %.

Source: ECSS-Q-ST-70-12C Annex D on IPC-2152 (I of the inside fit over that of the newer chart is 0.7, to 0.7..1.2 A);
0.5/0.7, rounded down.
"""
COPPER_HEAT: Final = 3.45e6
"""Heat that copper takes up, J/(m³·K): 385 J/(kg·K) at 8960 kg/m³ (IEC 60949 has 3.45e6; from memory)."""
TRACK_CURRENT_MAX: Final = 35.0
TRACK_RISE_MAX: Final = 100.0
TRACK_WIDTH_MAX: Final = 10e-3
"""Where the fit ends: A, K, m. A limit on the rise above TRACK_RISE_MAX proves nothing by it."""


def copper_resistance(
    length: Number,
    area: Number,
    temperature: Number = K20,
    resistivity: Number = IACS_RESISTIVITY,
    alpha: Number = CONDUCTOR_ALPHA,
    reference: Number = K20,
) -> Number:
    """Resistance in Ω of a copper conductor.

    ``length`` l (m), one way; ``area`` A (m²); ``temperature`` T (K) of the copper; ``resistivity`` ρ
    (Ω·m) and ``alpha`` α (1/K) at ``reference`` (K). Result ρ·l/A·(1 + α·(T − reference)).
    Source: 100 % IACS copper; IEC 60228 correction table for α. A real wire may have
    8 % more, a flexible one 16 %.

    >>> round(copper_resistance(10.0, 0.5e-6), 4)
    0.3448
    """
    return resistivity * length / area * (1 + alpha * (temperature - reference))


def track_area(width: Number, thickness: Number) -> Number:
    """Cross-section in m² of a track: ``width`` w (m) times ``thickness`` t (m) of the finished copper.

    Take the minimum of both. Source: geometry of a rectangle (etching makes it smaller).

    >>> round(track_area(2e-3, 35e-6) * 1e6, 6)
    0.07
    """
    return width * thickness


def track_rise(
    current: Number,
    area: Number,
    k: Number,
    kelvin: Number = 1.0,
    square_mil: Number = SQUARE_MIL,
    ampere: Number = 1.0,
) -> Number:
    """Rise in K of a track that carries a current.

    ``current`` I (A); ``area`` A (m²); ``k`` is TRACK_OUTSIDE or TRACK_INSIDE; the other arguments are the units of
    the fit. Result (I/(k·A^0.725))^(1/0.44) with A in mil², missing above 35 A, where the fit ends. A result above
    TRACK_RISE_MAX is outside the fit: too hot, by how much is not known. Valid up to 10 mm width.
    Source: IPC-2221 section 6.2 as reprinted by board makers, I = k·ΔT^0.44·A^0.725. The outside chart is optimistic
    against IPC-2152.

    >>> round(track_rise(1.0, track_area(0.3e-3, 35e-6), TRACK_OUTSIDE), 1)
    10.0
    """
    amperes = current / ampere
    fit = kelvin * power(amperes / (k * power(area / square_mil, 0.725)), 1 / 0.44)
    warmed: Number = keep(fit, amperes, TRACK_CURRENT_MAX)
    return warmed


def adiabatic_rise(
    current: Number,
    area: Number,
    time: Number,
    temperature: Number = K20,
    resistivity: Number = IACS_RESISTIVITY,
    alpha: Number = CONDUCTOR_ALPHA,
    heat: Number = COPPER_HEAT,
    reference: Number = K20,
) -> Number:
    """Rise in K of a copper conductor in a short time, if no heat leaves it.

    ``current`` I (A); ``area`` A (m²); ``time`` t (s); ``temperature`` T (K) of the copper, as hot as it may get;
    ``resistivity`` ρ (Ω·m) and ``alpha`` α (1/K) at ``reference`` (K); ``heat`` c (J/(m³·K)).
    Result (I/A)²·ρ·(1 + α·(T − reference))·t/c. No conductor that gives heat away warms more.
    Source: energy balance of a body that loses no heat; the simplest form of IEC 60949.

    >>> round(adiabatic_rise(4.0, track_area(0.3e-3, 35e-6), 0.1), 1)
    72.5
    """
    density = current / area
    return density * density * resistivity * (1 + alpha * (temperature - reference)) * time / heat


def connector_derating(current_base: Number, factor: Number = 0.8) -> Number:
    """Current in A allowed of a terminal from its base curve (``current_base``, A, as measured).

    Result factor·I. A curve that the maker has derated already stands as it is.
    Source: IEC 60512-5-2, test 5b, with ``factor`` 0.8.

    >>> round(connector_derating(21.9), 2)
    17.52
    """
    return factor * current_base


def connector_current(i_at: Number, t_at: Number, t_max: Number, temperature: Number) -> Number:
    """Current in A of a terminal at another ambient temperature, from one stated point.

    ``i_at`` I (A) stated at ``t_at`` (K); ``t_max`` (K) highest temperature of the terminal;
    ``temperature`` T (K). Result I·√(Tmax − T)/√(Tmax − Tat), never above the stated current.
    Source: heating by I²·R, common practice; no published source. It follows one printed curve within
    1.7 % and misses another by up to 7 %.

    >>> round(connector_current(21.9, 293.15, 423.15, 363.15), 2)
    14.88
    """
    return square_root_law(i_at, t_max, temperature, t_at)


def pole_share(resistance_min: Number, resistance_max: Number, poles: Number) -> Number:
    """Largest share of a current that one of several poles in parallel takes.

    ``resistance_min``, ``resistance_max`` R (Ω) ends of the resistance of one pole; ``poles`` n (1).
    Result Rmax/(Rmax + (n − 1)·Rmin): one pole at the least resistance, all others at the largest.
    Source: current divider (derivation; a test samples resistances).

    >>> pole_share(2e-3, 3e-3, 2.0)
    0.6
    """
    return resistance_max / (resistance_max + (poles - 1) * resistance_min)


def pole_share_of_more(share_of_two: Number, poles: Number) -> Number:
    """Largest share of one of several poles, from that of two with the same spread of resistance.

    ``share_of_two`` s (1) of the better of two poles; ``poles`` n (1). Result s/(s + (n − 1)·(1 − s)): the
    spread is s/(1 − s), put into :func:`pole_share`. One pole, or a share of 1, takes all.
    Source: current divider (derivation).

    >>> round(pole_share_of_more(0.6, 3.0), 4)
    0.4286
    """
    return share_of_two / (share_of_two + (poles - 1) * (1 - share_of_two))


# ---- look-ups: plain numbers, None where nothing is stated -----------------------------------------

_SAME: Final = 1e-6  # an area given with six digits is the one in the table


def wire_current(table: str, area: float) -> float | None:
    """Current in A that a published table gives one wire of ``area`` (m²): the next smaller gauge's.

    ``table`` is a name of WIRE_TABLES, else UsageError. Source: the table's own, in its ``source``.

    >>> wire_current("chassis", 0.9e-6)
    16.0
    """
    chosen = WIRE_TABLES.get(table)
    if chosen is None:
        raise UsageError(_unknown(table, "wire table", WIRE_TABLES))
    rows = chosen.amperes.items()
    return max((amperes for awg, amperes in rows if awg_area(awg) <= area * (1 + _SAME)), default=None)


def bundle_factor(count: int) -> float | None:
    """Factor on the current of each of ``count`` wires in a bundle: (29 − N)/28 up to 15, else None.

    Source: MIL-STD-975M Appendix A, section 3.16.

    >>> round(bundle_factor(5), 4)
    0.8571
    """
    return (29 - count) / 28 if 1 <= count <= 15 else None


def insulation_factor(temperature: float) -> float | None:
    """Factor on the current of a wire whose insulation is rated to ``temperature`` (K).

    The next lower stated rating's; None below the lowest. Source: MIL-STD-975M Appendix A, section 3.16.

    >>> insulation_factor(423.15), insulation_factor(353.15)
    (0.8, None)
    """
    return max((factor for rated, factor in INSULATION_FACTORS if rated <= temperature + _SAME), default=None)


def clearance(volts: float, column: str, table: str = "ansi-ipc-d-275") -> float | None:
    """Spacing in m between conductors at a peak voltage (V), from a published step table.

    ``column`` is one of SPACING_COLUMNS and ``table`` a name of SPACING_TABLES, else UsageError.
    Source: ANSI/IPC-D-275 and its successor IPC-2221 Table 6-1; how well each was seen is in the table.

    >>> clearance(30.0, "B2"), clearance(30.0, "B2", "ipc-2221"), clearance(600.0, "B2")
    (0.00064, 0.0001, None)
    """
    chosen = SPACING_TABLES.get(table)
    if chosen is None:
        raise UsageError(_unknown(table, "spacing table", SPACING_TABLES))
    if column not in SPACING_COLUMNS:
        raise UsageError(_unknown(column, "spacing column", SPACING_COLUMNS))
    return _step(chosen.columns.get(column, ()), volts)


def _step(rows: tuple[tuple[float, float, float], ...], volts: float) -> float | None:
    for above, up_to, value in rows:
        if above < volts <= up_to or volts == above == 0:
            return value
    return None


def _unknown(name: str, what: str, known: Iterable[str]) -> str:
    return f"{name!r} is not a {what} known here; use one of {', '.join(known)}"
