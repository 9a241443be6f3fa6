"""A large sheet of a user's own: how long an import takes, and how much memory.

``python tests/bench/bench_import.py [PARTS]`` writes invented MOSFETs as a workbook (a sheet of parts, a sheet of two
points each) and as CSV, imports them as the command does, each in a process of its own, and again where nothing
changes, and prints seconds and MB.
"""

import subprocess
import sys
import tempfile
import time
from pathlib import Path

from partcheck.parts import Part, point_table
from partcheck.parts.layout import sheets_of
from partcheck.parts.writing import write_folder, write_workbook

RUN = """
import resource, sys
sys.argv = ["partcheck", "catalog", "import", {source!r}, "--catalog", {catalog!r}]
from partcheck.__main__ import main
try:
    main()
finally:
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def part(number: int) -> Part:
    """An invented part with most of its values."""
    spread = 1 + (number % 997) / 1000
    values = {
        "description": f"N-channel, lot {number % 17}", "package": "SOT-23", "pin_order": "G-S-D", "status": "active",
        "price": round(0.05 * spread, 3), "currency": "EUR", "quantity": float(number % 5000), "polarity": "N",
        "vds_max": 20.0 + number % 80, "vgs_max": 20.0, "vgs_th_min": 1.0, "vgs_th_typ": 1.6, "vgs_th_max": 2.2,
        "qg_typ": round(5e-9 * spread, 12), "qg_max": round(8e-9 * spread, 12), "qgd_typ": 1.5e-9, "v_plateau_typ": 2.8,
        "plateau_id": 2.0, "ciss_typ": 5.2e-10, "coss_typ": 8e-11, "crss_typ": 3e-11, "rg_int_typ": 2.5, "igss_max": 1e-7,
        "eas": 0.02, "tj_max": 423.15, "theta_jc": 60.0, "datasheet": f"DS-{number} rev. A",
    }  # fmt: skip
    rows = [
        {"vgs": 4.5, "id": 2.0, "typ": round(0.035 * spread, 6), "max": round(0.045 * spread, 6)},
        {"vgs": 10.0, "id": 2.0, "typ": round(0.02 * spread, 6), "max": round(0.028 * spread, 6)},
    ]
    return Part("mosfet", f"TALQ-{number}", "Talvik", values, {"rds_on": point_table("mosfet", "rds_on", rows)})


def measure(what: str, source: Path, catalog: Path) -> None:
    """Import once, and say what it cost."""
    start = time.perf_counter()
    code = RUN.format(source=str(source), catalog=str(catalog))
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    said, _, memory = ran.stdout.strip().rpartition("\n")
    seconds = time.perf_counter() - start
    print(
        f"{what:<24}{seconds:7.1f} s {int(memory) / 1024:7.0f} MB   {said.replace(chr(10), ' ')[:60]}{ran.stderr[:200]}"
    )


def main() -> None:
    """Write, import, import again."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 50_000
    parts = [part(number) for number in range(count)]
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        start = time.perf_counter()
        write_workbook(folder / "parts.xlsx", sheets_of(parts))
        print(f"{'writing the workbook':<24}{time.perf_counter() - start:7.1f} s")
        write_folder(folder / "csv", sheets_of(parts))
        for name in ("parts.xlsx", "csv"):
            catalog = folder / f"{name}.sqlite"
            measure(f"{name}, new", folder / name, catalog)
            measure(f"{name}, again", folder / name, catalog)


if __name__ == "__main__":
    main()
