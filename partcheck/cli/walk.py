"""The story of the demo: one board, one part out of stock."""

from pathlib import Path

from partcheck.catalog import open_catalog
from partcheck.jobs.check.board import check
from partcheck.jobs.check.part import explain_part
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.swap.swap import swap
from partcheck.parts import read_parts
from partcheck.report import checked, explained, swapped
from partcheck.report.lines import wrap

BOARD = "bottling-bench.toml"
OUT_OF_STOCK = "Q2"


def _said(text: str) -> list[str]:
    return ["", *wrap(text, "# ", "# "), ""]


def walk(samples: Path) -> str:
    """Import the samples into a new catalog, find a stand-in, explain it, and check the board."""
    board, place = samples / BOARD, samples / "demo.sqlite"
    parts = read_parts(samples)
    with open_catalog(place, create=True) as catalog:
        catalog.add(parts, "demo", "2026-01-01")
        counts = catalog.count()
    setup = open_setup(board, catalog=str(place))
    kinds = ", ".join(f"{count} {kind}" for kind, count in counts.items())
    lines = wrap(
        f"A bottling bench has a driver board; the board, the parts and their makers are invented. {len(parts)} parts "
        f"were entered into a new catalog ({kinds}).",
        "# ",
        "# ",
    )
    lines += _said(
        f"1. {OUT_OF_STOCK} is out of stock. Which known parts can stand in?   partcheck swap BOARD {OUT_OF_STOCK}"
    )
    found = swap(setup, OUT_OF_STOCK, 5)
    lines.append(swapped.text(found))
    if found.candidates:
        best = found.candidates[0].part
        lines += _said(
            f"2. Why may {best.part_number} stand in?   partcheck explain BOARD {OUT_OF_STOCK} {best.part_number}"
        )
        lines.append(explained.text(explain_part(setup, OUT_OF_STOCK, best)))
    lines += _said("3. And the whole board as it is fitted now?   partcheck check BOARD")
    lines.append(checked.text(check(setup)))
    lines += _said(
        "The other questions on the same board: `partcheck brightness BOARD D11` (another LED), `partcheck vet BOARD "
        'FV2 --voltage "24 V"` (a higher voltage or a heavier load), `partcheck plan BOARD FV2 --voltage "15 V"` (what '
        "to change for it), `partcheck limits BOARD` (what may be connected at all), `partcheck accept` and `partcheck "
        "records` (what was decided). BOARD is catalog_samples/bottling-bench.toml in a checkout."
    )
    if setup.parts.catalog is not None:
        setup.parts.catalog.close()
    return "\n".join(lines)
