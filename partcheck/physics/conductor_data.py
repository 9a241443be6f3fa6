"""Published tables on wires, spacing and terminals: only rows that were found, with how well they were seen.

Everything is SI: areas m², resistances Ω/m, spacings m, voltages V, currents A, temperatures K.
"""

from collections.abc import Mapping
from typing import Final, NamedTuple

from partcheck.units import ZERO_CELSIUS, awg_area

IACS_RESISTIVITY: Final = 1.7241e-8
"""Resistivity of annealed copper at 20 °C in Ω·m: 100 % IACS, 17.241 Ω·mm²/km (IEC 60028, from memory)."""
CONDUCTOR_ALPHA: Final = 0.004
"""Temperature coefficient of copper conductors at 20 °C in 1/K: IEC 60228 correction table."""

_MM2: Final = 1e-6
_PER_KM: Final = 1e-3
CIRCULAR_MIL: Final = 5.067074791e-10
"""Area in m² of a circle one mil across: π/4·(25.4 µm)²."""
SQUARE_MIL: Final = 6.4516e-10
"""Area in m² of a square one mil wide: (25.4 µm)²."""


def _per_metre(rows: Mapping[float, float]) -> dict[float, float]:
    return {area * _MM2: resistance * _PER_KM for area, resistance in rows.items()}


CONDUCTOR_RESISTANCE: Final = {
    "class 1-2": _per_metre({0.5: 36.0, 0.75: 24.5, 1: 18.1, 1.5: 12.1, 2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83}),
    "class 5": _per_metre({0.5: 39.0, 0.75: 26.0, 1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.3, 10: 1.91}),
}
"""Area to maximum resistance at 20 °C, plain copper: solid and stranded (1, 2), flexible (5).

Source: IEC 60228 Tables 1 and 3 as reprinted (search excerpt seen).
"""

WORST_WIRE: Final = max(
    resistance * area / IACS_RESISTIVITY for area, resistance in CONDUCTOR_RESISTANCE["class 5"].items()
)
"""Largest resistance that IEC 60228 allows a flexible wire over that of ideal copper of its area (1.157)."""


class WireTable(NamedTuple):
    """What a published table lets one wire carry: AWG to amperes, and what it holds for."""

    title: str
    amperes: Mapping[int, float]
    source: str
    confirmed: str
    note: str


WIRE_TABLES: Final = {
    "chassis": WireTable(
        "chassis wiring",
        {18: 16.0, 20: 11.0, 22: 7.0, 24: 3.5, 26: 2.2, 28: 1.4, 30: 0.86},
        "PowerStream wire table, which cites Handbook of Electronic Tables and Formulas",
        "search excerpt seen",
        "single short wires in free air; seven times the power-transmission column at AWG 18",
    ),
    "power-transmission": WireTable(
        "power transmission, 700 circular mil per ampere",
        {awg: awg_area(awg) / CIRCULAR_MIL / 700 for awg in range(10, 31)},
        "PowerStream wire table, which cites Handbook of Electronic Tables and Formulas",
        "search excerpt seen (the rule, and its values for AWG 18 to 24)",
        "computed from the rule; long or bundled wires",
    ),
    "mil-std-975m-single": WireTable(
        "single wire, space use",
        {
            30: 1.3,
            28: 1.8,
            26: 2.5,
            24: 3.3,
            22: 4.5,
            20: 6.5,
            18: 9.2,
            16: 13.0,
            14: 19.0,
            12: 25.0,
            10: 33.0,
        },
        "MIL-STD-975M Appendix A, section 3.16",
        "second-hand transcription; the standard's own page not seen",
        "70 °C in vacuum, insulation for 200 °C; multiply by bundle_factor and insulation_factor",
    ),
}
"""Wire currents by the name a user chooses. Local wiring rules decide, not these tables."""

INSULATION_FACTORS: Final = tuple(
    (celsius + ZERO_CELSIUS, factor) for celsius, factor in ((200, 1.0), (150, 0.8), (135, 0.7), (105, 0.5))
)
"""Rated temperature of the insulation to factor: MIL-STD-975M Appendix A, section 3.16 (second-hand)."""

SPACING_COLUMNS: Final = ("B1", "B2", "B3", "B4", "A5", "A6", "A7")
"""Bare board: B1 inside, B2 outside, B3 the same above 3050 m, B4 outside with a permanent coating.
Assembly: A5 coated outside conductor, A6 uncoated lead, A7 coated lead (names from memory)."""

Rows = tuple[tuple[float, float, float], ...]


class SpacingTable(NamedTuple):
    """Column to rows of (above V, up to V, metres); a voltage in no row is not stated."""

    source: str
    confirmed: str
    columns: Mapping[str, Rows]


def _rows(*rows: tuple[float, float, float]) -> Rows:
    return tuple((above, up_to, mm * 1e-3) for above, up_to, mm in rows)


SPACING_TABLES: Final = {
    "ansi-ipc-d-275": SpacingTable(
        "ANSI/IPC-D-275 spacing table, as posted to si-list on 2 Aug 2002",
        "search excerpt seen",
        {
            "B1": _rows((0, 100, 0.1), (100, 300, 0.2), (300, 500, 0.25)),
            "B2": _rows((0, 150, 0.64), (150, 300, 1.27), (300, 500, 2.54)),
            "B3": _rows((0, 50, 0.64), (50, 100, 1.5), (100, 170, 3.18), (170, 250, 6.4), (250, 500, 12.7)),
            "B4": _rows((0, 100, 0.13), (100, 300, 0.38), (300, 500, 0.75)),
            "A5": _rows((0, 100, 0.13), (100, 300, 0.38)),
            "A6": _rows(
                (0, 15, 0.13),
                (15, 30, 0.25),
                (30, 50, 0.38),
                (50, 100, 0.5),
                (100, 300, 0.75),
                (300, 500, 1.5),
            ),
            "A7": _rows((0, 100, 0.13), (100, 300, 0.38), (300, 500, 0.75)),
        },
    ),
    "ipc-2221": SpacingTable(
        "IPC-2221A/B Table 6-1, low-voltage rows",
        "B1, B2, B4: secondary search excerpts; B3, A5, A6: from memory; reprints disagree: see the standard",
        {
            "B1": _rows((0, 30, 0.05), (30, 100, 0.1), (100, 150, 0.2)),
            "B2": _rows((0, 15, 0.1), (15, 30, 0.1), (30, 150, 0.6)),
            "B3": _rows((30, 50, 0.6), (50, 100, 1.5)),
            "B4": _rows((0, 30, 0.05), (30, 100, 0.13), (100, 150, 0.4)),
            "A5": _rows((0, 100, 0.13)),
            "A6": _rows((0, 15, 0.13), (15, 30, 0.25), (30, 50, 0.4), (50, 100, 0.5), (100, 150, 0.8)),
        },
    ),
}
