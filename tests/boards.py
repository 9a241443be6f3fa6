"""Boards for tests: the sample with some of its values written anew, as a user would in the file."""

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from partcheck.board.models import Board
from partcheck.jobs.judge.board import judge_board
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle

SAMPLE = Path(__file__).parent.parent / "catalog_samples" / "bottling-bench.toml"


def written(keys: Mapping[str, Any], start: str | Path | Board = SAMPLE) -> Board:
    """The board of a file with the values at dotted keys replaced."""
    data = (
        start.model_dump(mode="python", exclude_unset=True)
        if isinstance(start, Board)
        else tomllib.loads(Path(start).read_text(encoding="utf-8"))
    )
    for key, value in keys.items():
        if key == "at_once":
            group = tomllib.loads(f"made = {value}")["made"]
            kept = [other for other in data.get("at_once", []) if not set(group["of"]) & set(other["of"])]
            data["at_once"] = [*kept, group]
            continue
        *path, last = key.split(".")
        node = data
        for name in path:
            node = node.setdefault(name, {})
        node[last] = value
    return Board.model_validate(data)


def situation_of(situation: Situation, board: Board) -> Situation:
    """The same fitted parts and policy on another board."""
    made = Situation(board, situation.fitted, situation.policy)
    made.drawn = situation.drawn
    return settle(made)


def outcomes(situation: Situation) -> dict[tuple[str, str], tuple[int, float]]:
    """Verdict and headroom of every requirement that counts, by the traced reading."""
    places, links = judge_board(situation)
    return {
        (judged.ref, finding.id): (int(finding.verdict), finding.headroom)
        for judged in (*places, *links)
        for finding in judged.findings
        if finding.counts
    }
