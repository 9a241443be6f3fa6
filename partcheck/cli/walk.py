"""The story of the demo: one board, one part out of stock, one load that grows; about sixty lines."""

from pathlib import Path

from partcheck.catalog import open_catalog
from partcheck.jobs.change.options import Asked
from partcheck.jobs.check.board import check
from partcheck.jobs.judge.cautions import CLOSING
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.swap.swap import swap
from partcheck.jobs.vet.vet import vet
from partcheck.parts import read_parts
from partcheck.report import document as d
from partcheck.report.answers.check import document as board_answer
from partcheck.report.answers.swap import document as swap_answer
from partcheck.report.answers.vet import document as vet_answer
from partcheck.report.lines import wrap
from partcheck.report.render import text

BOARD = "bottling-bench.toml"
OUT_OF_STOCK, LOAD, VOLTAGE = "Q2", "FV2", "15 V ±5 %"


def _said(words: str, command: str = "") -> list[str]:
    return ["", *wrap(words, "# ", "# "), *([f"#   {command}"] if command else [])]


def _shown(document: d.Document, *titles: str) -> str:
    """The finding of an answer, and the sections of these titles."""
    wanted = [b for b in document.blocks if isinstance(b, d.Section) and b.title[0] in titles]
    return text.excerpt([document.blocks[0], *wanted])


def walk(samples: Path) -> str:
    """Import the samples into a new catalog, find a stand-in, raise a voltage, and check the board."""
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
        f"{OUT_OF_STOCK} is out of stock. Which known parts can stand in?", f"partcheck swap BOARD {OUT_OF_STOCK}"
    )
    lines.append(_shown(swap_answer.document(swap(setup, OUT_OF_STOCK, 5)), "Stand-ins, best first"))
    lines += _said(f"{LOAD} is to run from {VOLTAGE}. May it?", f'partcheck vet BOARD {LOAD} --voltage "{VOLTAGE}"')
    vetted = vet(setup, LOAD, Asked(voltage=VOLTAGE))
    lines.append(_shown(vet_answer.document(vetted), "What gives way, in order"))
    lines += _said("And the whole board as it is fitted now?", "partcheck check BOARD")
    lines.append(_shown(board_answer.document(check(setup))))
    lines += _said(
        "Each of these commands prints much more. The other questions: `partcheck explain BOARD Q2` (every requirement "
        'with its numbers), `brightness BOARD D11` (another LED), `plan BOARD FV2 --voltage "15 V"` (what to change), '
        "`limits BOARD` (what may be connected at all), `accept` and `records` (what was decided). BOARD is "
        "catalog_samples/bottling-bench.toml in a checkout."
    )
    lines += _said(CLOSING)
    if setup.parts.catalog is not None:
        setup.parts.catalog.close()
    return "\n".join(lines)
