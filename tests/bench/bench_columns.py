"""One role, many parts: the declared requirements against the same comparisons written by hand in NumPy.

``python tests/bench/bench_columns.py [PARTS]`` prints the medians of both and their ratio, in one run.
"""

import statistics
import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np

from partcheck.parameters import KINDS
from partcheck.readings.verdicts import judge_columns
from partcheck.requirement import Role
from partcheck.roles import ROLES
from partcheck.stock.columns import ColumnTable, Words

IDS = (
    "drain-voltage", "gate-voltage", "fully-on", "gate-threshold", "drain-current", "on-drop", "junction-rise", "stays-off",
    "polarity",
)  # fmt: skip
FACTS: dict[str, Any] = {
    "rail_max": 12.6, "load_current": 0.63, "heat_current": 0.63, "on_duty": 1.0, "drain_clamped": 13.6, "drain_peak": 13.6,
    "coil_current": 0.63, "avalanche_rate": 0.0, "drive_high_min": 4.6, "drive_high_max": 5.1, "drive_low_min": 0.0,
    "drive_low_max": 0.4, "divider_series": 165.0, "pulldown_min": 95e3, "lift": 0.02, "off_lift": 0.0, "noise": 0.1,
    "allowed_drop": 0.3, "switch_frequency": 0.0, "ambient_max": 318.15, "ambient_min": 263.15, "t25": 298.15,
    "theta_mounted": np.nan, "copper_area": 0.0, "tj_ceiling": np.inf, "polarity_wanted": frozenset({"N"}),
    "k_vds": 0.8, "k_vgs": 0.9, "k_id": 0.8, "k_mosfet_power": 1.0, "k_tj_guard": 20.0, "k_gate_overdrive": 0.5,
    "assumed_vgs_th_tempco": -0.006, "assumed_rds_on_factor": 2.6, "assumed_square_root_law": 1.0,
}  # fmt: skip


def laid(columns: dict[str, Any]) -> ColumnTable:
    """A table whose columns are given as arrays of shape (rows, parts), ascending."""
    rows, count = next(iter(columns.values())).shape
    flat = {name: column.T.ravel() for name, column in columns.items()}
    return ColumnTable.flat(flat, np.arange(count + 1) * rows)


def parts(count: int) -> dict[str, Any]:
    random = np.random.default_rng(3)

    def spread(low: float, high: float, rows: int = 1) -> Any:
        return np.exp(random.uniform(np.log(low), np.log(high), (rows, count)))

    def fixed(*values: float) -> Any:
        return np.repeat(np.array(values)[:, None], count, axis=1)

    vth = random.uniform(0.6, 2.0, count)
    resistance = spread(3e-3, 0.2)
    columns: dict[str, Any] = {
        "vds_max": random.choice([20.0, 30, 40, 60, 100], count), "vgs_max": random.choice([8.0, 12, 20], count),
        "vgs_th_min": vth, "vgs_th_max": vth * 1.8, "vgs_th_tempco": np.full(count, np.nan),
        "tj_max": random.choice([423.15, 448.15], count), "polarity": Words(["N"] * count),
        "rds_on": laid({"vgs": fixed(2.5, 4.5, 10), "id": fixed(1.0, 3.0, 5.0), "typ": np.full((3, count), np.nan),
                        "max": np.vstack([resistance * 2, resistance * 1.3, resistance])}),
        "rds_on_factor": laid({"tj": fixed(298.15, 348.15, 423.15), "max": fixed(1.0, 1.3, 1.9)}),
        "id_max": laid({"temperature": fixed(298.15, 373.15), "reference": fixed(0.0, 0.0), "max": spread(1, 40, 2)}),
        "theta_ja": laid({"copper_area": fixed(0.0), "mounting": fixed(0.0), "max": spread(40, 200)}),
    }  # fmt: skip
    for name in ("vds_max", "vgs_max", "vgs_th_max"):
        columns[name] = np.where(random.random(count) < 0.03, np.nan, columns[name])
    blank, empty = (
        np.full(count, np.nan),
        laid({name: np.full((1, count), np.nan) for name in ("tj", "max", "pulse_width", "reference")}),
    )
    kind = KINDS["mosfet"]
    columns |= {name: blank for name in kind.columns() if name not in columns}
    return columns | {table.name: empty for table in kind.tables if table.name not in columns}


def by_hand(c: dict[str, Any]) -> Any:
    """The same nine comparisons as a person would write them, with the same three-valued answer."""
    f = FACTS
    gate = f["drive_high_min"] * f["pulldown_min"] / (f["divider_series"] + f["pulldown_min"]) - f["lift"]
    on = {name: c["rds_on"].column(name) for name in ("vgs", "id", "typ", "max")}
    usable = on["vgs"] <= gate
    r = np.where(usable, on["max"], np.inf).min(axis=0)
    best = usable & (on["max"] <= r)
    vgs_row = np.where(best, on["vgs"], np.inf).min(axis=0)
    id_row = np.where(best, on["id"], -np.inf).max(axis=0)
    r = np.where(np.isinf(r), np.nan, r)
    over = vgs_row - c["vgs_th_max"]

    def drop(factor: Any) -> Any:
        res = r * factor
        ohmic = over - np.sqrt(over * over - 2 * over * f["load_current"] * res)
        return np.where(f["load_current"] <= id_row, f["load_current"] * res, ohmic)

    theta = c["theta_ja"].column("max").min(axis=0)
    t, y = c["rds_on_factor"].column("tj"), c["rds_on_factor"].column("max")
    reached = f["ambient_max"] + theta * f["heat_current"] * drop(y)
    holds = reached <= t
    k = holds.argmax(axis=0)
    b, n = np.maximum(k - 1, 0), np.arange(t.shape[1])
    slope = (reached[k, n] - reached[b, n]) / (t[k, n] - t[b, n])
    root = np.where(k == 0, reached[k, n], (reached[b, n] - slope * t[b, n]) / (1 - slope))
    limit = c["tj_max"] - f["k_tj_guard"]
    tj = np.where(holds.any(axis=0), root, np.where(t[-1] >= limit, np.inf, np.nan))
    hot = np.interp(np.maximum(tj, 298.15), t[:, 0], y[:, 0])
    cold = c["vgs_th_max"] + f["assumed_vgs_th_tempco"] * (f["ambient_min"] - f["t25"])
    idt, idm = c["id_max"].column("temperature"), c["id_max"].column("max")
    allowed = np.where(tj <= idt, idm, -np.inf).max(axis=0)
    law = (idm * np.sqrt(np.maximum(c["tj_max"] - tj, 0) / (c["tj_max"] - idt))).max(axis=0)
    allowed = np.where(np.isinf(allowed), law, allowed)
    lowest = np.where(np.isnan(on["max"]), np.inf, on["vgs"]).min(axis=0)
    sides = [
        (f["drain_clamped"], f["k_vds"] * c["vds_max"]), (f["drive_high_max"], f["k_vgs"] * c["vgs_max"]), (lowest, gate),
        (cold + f["k_gate_overdrive"], gate), (f["load_current"], f["k_id"] * allowed), (drop(hot), f["allowed_drop"]),
        (tj - f["ambient_max"], np.minimum(limit, np.inf) - f["ambient_max"]),
        (f["drive_low_max"] + f["noise"], c["vgs_th_min"] + f["assumed_vgs_th_tempco"] * (tj - f["t25"])),
        (1.0, np.where(c["polarity"].codes == 0, 1.0, np.nan)),
    ]  # fmt: skip
    return np.array(
        [np.where(np.less_equal(d, p), 3, np.where(np.greater(d, p), 0, 1)) for d, p in sides], dtype=np.int8
    )


def median(call: Callable[[], Any], runs: int = 9) -> float:
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    full = ROLES["mosfet-switch"]
    role = Role(
        full.name,
        full.kind,
        full.title,
        full.facts,
        full.needs,
        full.quantities,
        {i: full.requirements[i] for i in IDS},
    )
    columns = parts(count)
    with np.errstate(all="ignore"):
        hand, declared = by_hand(columns), judge_columns(role, columns, FACTS, count, 0.0)
        agree = float((hand == np.where(declared.verdicts == 2, 3, declared.verdicts)).mean())
        by_declaration = median(lambda: judge_columns(role, columns, FACTS, count, 0.0))
        hand_written = median(lambda: by_hand(columns))
    print(f"{count} parts, {len(IDS)} requirements; verdicts that agree: {agree:.4%}")
    print(f"declared      {by_declaration * 1e3:8.1f} ms")
    print(f"hand-written  {hand_written * 1e3:8.1f} ms")
    print(f"ratio         {by_declaration / hand_written:8.2f}")


if __name__ == "__main__":
    main()
