"""Jobs on large catalogs of invented parts: CPU seconds and memory of whole processes, beside the same on the samples.

``python tests/bench/bench_catalog.py [PARTS ...]`` fills a catalog for each size (10000 and 100000 unless told otherwise,
40 % of it MOSFETs and 40 % LEDs), runs each job with no snapshot, then with one, and prints the figures; the catalogs
are deleted afterwards.
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.bench.invented import SAMPLES, fill

BOARD = SAMPLES / "bottling-bench.toml"
JOBS: dict[str, list[str]] = {
    "swap": ["swap", str(BOARD), "Q1", "--parts", str(SAMPLES)],
    "explain": ["explain", str(BOARD), "Q1", "--parts", str(SAMPLES)],
    "brightness": ["brightness", str(BOARD), "D11", "--parts", str(SAMPLES)],
    "find": ["catalog", "find", "mosfet", "--where", "vds_max >= 60 V and rds_on.max <= 5 mΩ"],
}


def measured(words: Sequence[str]) -> tuple[float, float]:
    """CPU seconds and largest memory (MB) of one process."""
    process = subprocess.Popen([sys.executable, "-m", "partcheck", *words], stdout=subprocess.DEVNULL)
    _, _, used = os.wait4(process.pid, 0)
    process.returncode = 0
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def told(what: str, words: Sequence[str], base: float) -> None:
    """One line of the table."""
    seconds, memory = measured(words)
    ratio = f"{seconds / base:6.2f}" if base else ""
    print(f"{what:<32}{seconds:8.2f} s {memory:7.0f} MB {ratio}", flush=True)


def main() -> None:
    """Every job on the samples, then on each size."""
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    sizes = [int(word) for word in sys.argv[1:]] or [10_000, 100_000]
    with tempfile.TemporaryDirectory() as place:
        samples = Path(place) / "samples.sqlite"
        fill(samples, 250)
        base = {}
        for name, words in JOBS.items():
            base[name] = measured([*words, "--catalog", str(samples)])[0]
            told(f"{name}, 250 parts", [*words, "--catalog", str(samples)], base[name])
        for size in sizes:
            catalog = Path(place) / f"{size}.sqlite"
            fill(catalog, size)
            time.sleep(3)  # a database that was just written gets no snapshot
            for name, words in JOBS.items():
                for how in ("first", "again"):
                    told(f"{name}, {size} parts, {how}", [*words, "--catalog", str(catalog)], base[name])
            catalog.unlink()


if __name__ == "__main__":
    main()
