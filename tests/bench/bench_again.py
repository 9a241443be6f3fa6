"""Further questions in one running process, as a notebook or the pages of ``partcheck serve`` ask them.

``python tests/bench/bench_again.py [NAME ...]`` asks each question in a process of its own, several times over with another
value each time, and prints the CPU milliseconds of the first one and the median of those that follow. ``--against
FOLDER`` does so in turn with another checkout, and tells whether the answers differ.
"""

import argparse
import hashlib
import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent.parent.parent
SAMPLES = Path("catalog_samples")
VOLTS = ("15 V", "16 V", "15.5 V", "14.5 V", "17 V", "18 V", "13 V", "14 V")
SWITCHES = ("Q2", "Q1", "Q3", "Q5", "Q4", "Q6", "Q7", "Q2")
LEDS = ("SLYS-A3D", "SLYS-R3D", "SLYS-R3H", "SLYS-R3L", "SLYS-G3L", "HOLL-3R60", "HOLL-3G60", "HOLL-3B40")
TIMES = len(VOLTS)
Ask = Callable[[int], Any]
"""Asks the nth time; what it returns is not worked out into text within the time."""


def _notebook() -> Any:
    from partcheck.api import open_board

    return open_board(SAMPLES / "bottling-bench.toml")


def _vet(cures: bool) -> Ask:
    board = _notebook()
    return lambda n: board.vet("FV2", voltage=VOLTS[n], cures=cures)


def _vet_told() -> Ask:
    board = _notebook()

    def ask(n: int) -> Any:
        answer = board.vet("FV2", voltage=VOLTS[n])
        return answer.text and answer

    return ask


def _swap() -> Ask:
    board = _notebook()
    return lambda n: board.swap(SWITCHES[n])


def _brightness(part: str | None) -> Ask:
    board = _notebook()
    return lambda n: board.brightness("D11", part, ratio=0.4 + 0.1 * n)


def _leds() -> Ask:
    board = _notebook()
    return lambda n: board.brightness("D11", LEDS[n])


def _explain() -> Ask:
    board = _notebook()
    return lambda n: board.explain(SWITCHES[n])


def _pages() -> Any:
    from fastapi.testclient import TestClient

    from partcheck.serve.application import application
    from partcheck.serve.bench import Bench
    from partcheck.serve.serving import Serving

    bench = Bench(Serving(SAMPLES.absolute(), (SAMPLES.absolute(),), None, None, True, port=8790))
    client = TestClient(application(bench), base_url="http://127.0.0.1:8790")
    client.get(f"/?key={bench.keys.key}")
    return client


def _page(address: str, values: tuple[str, ...], **stated: str) -> Ask:
    client, name = _pages(), next(iter(stated))

    def ask(n: int) -> Any:
        answer = client.get(address, params={"file": "bottling-bench.toml", **stated, name: values[n]})
        assert answer.status_code == 200, answer.text[:2000]
        return answer

    return ask


QUESTIONS: dict[str, Callable[[], Ask]] = {
    "vet": lambda: _vet(False),
    "vet-cures": _vet_told,
    "swap": _swap,
    "brightness": _leds,
    "brightness-ratio": lambda: _brightness("HOLL-3A60"),
    "brightness-all": lambda: _brightness(None),
    "explain": _explain,
    "page-what-if": lambda: _page("/what-if/now", VOLTS, voltage="", load="FV2"),
    "page-air": lambda: _page("/what-if/now", tuple(f"5..{50 + n} °C" for n in range(TIMES)), ambient="", load="FV2"),
    "page-swap": lambda: _page("/place", SWITCHES, place=""),
}


def measured(name: str) -> None:
    """Ask one question in this process; print milliseconds and a digest of each answer."""
    ask, made = QUESTIONS[name](), []
    for n in range(TIMES):
        start = time.process_time()
        answer = ask(n)
        spent = 1000 * (time.process_time() - start)
        told = getattr(answer, "json", None) if not name.startswith("page") else answer.text
        told = told() if callable(told) else told
        made.append((spent, hashlib.sha256(str(told).encode()).hexdigest()))
    print(json.dumps(made))


def run(root: Path, name: str) -> list[tuple[float, str]]:
    """The same in a process of its own, from a checkout."""
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    environment |= {"PYTHONPATH": str(root), "PARTCHECK_CATALOG": str(root / "no-catalog.db")}
    words = [sys.executable, __file__, "--here", name]
    out = subprocess.run(words, cwd=root, env=environment, check=True, capture_output=True, text=True).stdout
    made: list[tuple[float, str]] = json.loads(out)
    return made


def main() -> None:
    """Print the figures."""
    given = argparse.ArgumentParser(description=__doc__)
    given.add_argument("names", nargs="*", metavar="NAME", help=f"of {', '.join(QUESTIONS)}; none: all")
    given.add_argument("--against", type=Path, help="another checkout")
    given.add_argument("--here", action="store_true", help=argparse.SUPPRESS)
    asked = given.parse_args()
    if asked.here:
        measured(asked.names[0])
        return
    roots = [HERE, *([asked.against.absolute()] if asked.against else [])]
    for name in asked.names or QUESTIONS:
        runs = [run(root, name) for root in roots]
        told = [f"{r[0][0]:6.0f} ms, then {statistics.median(spent for spent, _ in r[1:]):6.0f} ms" for r in runs]
        same = "" if len(runs) < 2 else "same" if len({tuple(d for _, d in r) for r in runs}) == 1 else "DIFFERS"
        print(f"{name:14} {'   '.join(told)}   {same}", flush=True)


if __name__ == "__main__":
    main()
