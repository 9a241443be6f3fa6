"""What each job costs on the samples, as a process of its own: ``python tests/bench/bench_jobs.py [NAME ...]``.

Prints the median CPU seconds (user and system) and the most memory of each. ``--against FOLDER`` runs another
checkout in turn with this one, and tells which answers differ, as text and as JSON.
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

ENVIRONMENT = {
    k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"
}  # an installed program is compiled
HERE = Path(__file__).parent.parent.parent
BOARD = "catalog_samples/bottling-bench.toml"
RAISED = ("--voltage", "24 V ±5 %")
JOBS: dict[str, tuple[str, ...]] = {
    "help": ("--help",),
    "check": ("check", BOARD),
    "swap": ("swap", BOARD, "Q2"),
    "explain": ("explain", BOARD, "Q2", "MOBY-F60-70"),
    "brightness": ("brightness", BOARD, "D11", "SLYS-A3H", "--parts", "catalog_samples", "--parts", "catalog_samples/extra"),
    "brightness-all": ("brightness", BOARD, "D11"),
    "vet": ("vet", BOARD, "FV2", "--voltage", "15 V ±5 %"),
    "plan": ("plan", BOARD, "FV1", *RAISED),
    "limits": ("limits", BOARD),
    "limits-load": ("limits", BOARD, "FV2"),
}  # fmt: skip
MORE: dict[str, tuple[str, ...]] = {
    "check-npn": ("explain", BOARD, "Q9"),
    **{f"swap-{ref}": ("swap", BOARD, ref) for ref in ("Q4", "Q9", "D3", "D5", "D13", "D15", "U1", "J3")},
    "explain-fails": ("explain", BOARD, "Q4", "TALQ-30N52"),
    "vet-as-is": ("vet", BOARD, "pump"),
    "vet-24": ("vet", BOARD, "FV2", *RAISED),
    "vet-lighter": ("vet", BOARD, "FV1", "--resistance", "9 Ω", "--inductance", "0.4 H"),
    "vet-rail": ("vet", BOARD, "FV2", "--set", "rail=P24"),
    "vet-stall": ("vet", BOARD, "pump", "--current", "2 A"),
    "brightness-ratio": ("brightness", BOARD, "D15", "--ratio", "0.5"),
    "plan-none": ("plan", BOARD),
    "limits-pump": ("limits", BOARD, "pump"),
    "limits-ready": ("limits", BOARD, "ready"),
}
"""Further questions, for comparing answers."""
PAGED = ("check", "swap", "explain", "brightness", "brightness-all", "vet", "plan", "limits", "limits-load")


def run(root: Path, words: tuple[str, ...], said: Path | None = None) -> tuple[float, float, str]:
    """One process from ``root``: CPU seconds, MiB at most, and what it said."""
    with tempfile.TemporaryFile() as out:
        child = subprocess.Popen(
            [sys.executable, "-m", "partcheck", *words], cwd=root, stdout=out, stderr=subprocess.STDOUT,
            env={**ENVIRONMENT, "PYTHONPATH": str(root), "PARTCHECK_CATALOG": str(root / "no-catalog.db")},
        )  # fmt: skip
        _, _, used = os.wait4(child.pid, 0)
        child.returncode = 0
        out.seek(0)
        return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, out.read().decode()


def words_of(name: str, folder: Path) -> tuple[str, ...]:
    """The command of a job; ``check-page`` is ``check`` with a page."""
    if name.endswith("-page"):
        return (*JOBS[name.removesuffix("-page")], "--html", str(folder / "page.html"), "--force")
    return JOBS.get(name) or MORE[name]


def compared(names: list[str], other: Path) -> None:
    """Tell which answers differ from those of another checkout."""
    for name in [n for n in names if n != "help"]:
        for extra in ((), ("--json",)):
            mine, theirs = (run(root, (*words_of(name, HERE), *extra))[2] for root in (HERE, other))
            print(f"{name:18} {'json' if extra else 'text'}  {'same' if mine == theirs else 'DIFFERS'}", flush=True)
    for name in [n for n in names if n in PAGED]:
        with tempfile.TemporaryDirectory() as folder:
            pages = []
            for root in (HERE, other):
                run(root, words_of(f"{name}-page", Path(folder)))
                pages.append((Path(folder) / "page.html").read_bytes())
            print(f"{name:18} page  {'same' if pages[0] == pages[1] else 'DIFFERS'}", flush=True)


def main() -> None:
    """Print the figures."""
    given = argparse.ArgumentParser(description=__doc__)
    given.add_argument("names", nargs="*", metavar="NAME", help="jobs; NAME-page with its page; none: all")
    given.add_argument("--repeat", type=int, default=5)
    given.add_argument("--against", type=Path, help="another checkout")
    given.add_argument("--answers", action="store_true", help="compare answers with it instead of times")
    asked = given.parse_args()
    if asked.answers:
        compared(asked.names or [*JOBS, *MORE], asked.against.absolute())
        return
    roots = [HERE, *([asked.against.absolute()] if asked.against else [])]
    with tempfile.TemporaryDirectory() as folder:
        for name in asked.names or [*JOBS, *(f"{name}-page" for name in PAGED)]:
            words = words_of(name, Path(folder))
            runs = [[run(root, words) for root in roots] for _ in range(asked.repeat + 1)][1:]
            told = [
                f"{statistics.median(r[i][0] for r in runs):6.2f} s {max(r[i][1] for r in runs):5.0f} MiB"
                for i in range(len(roots))
            ]
            print(f"{name:18} {'   '.join(told)}", flush=True)


if __name__ == "__main__":
    main()
