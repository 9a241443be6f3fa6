"""How long a map of 100 x 100 circuits takes, against the same boards judged one by one: ``python tests/bench/bench_map.py``."""

import time
from pathlib import Path

import numpy as np

from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.remedy.cures import cures, failing
from partcheck.jobs.sweep.limits import limits
from partcheck.jobs.sweep.map import channel_map
from partcheck.jobs.sweep.quantities import load_scaled, rail_voltage
from partcheck.situation import Situation

SAMPLE = Path(__file__).parent.parent.parent / "catalog_samples" / "bottling-bench.toml"


def timed(job, repeat=3):
    """The least of a few runs, in seconds."""
    best = float("inf")
    for _ in range(repeat):
        start = time.process_time()
        job()
        best = min(best, time.process_time() - start)
    return best


def main() -> None:
    """Print CPU times and their ratios."""
    setup = open_setup(SAMPLE)
    situation = setup.situation
    rail = rail_voltage(situation, "V12")
    volts, amperes = np.linspace(5, 36, 100), np.linspace(0.03, 3, 100)
    whole = timed(lambda: channel_map(situation, "FV2", volts, amperes))

    def one() -> None:
        board = load_scaled(rail.apply(situation.board, 17.0), "FV2", 1.3)
        judge_board(Situation(board, situation.fitted, situation.policy))

    single = timed(one)
    print(f"map of 10 000 circuits of the whole board   {whole:6.2f} s CPU")
    print(f"one circuit, traced                         {single:6.3f} s CPU, so 10 000 would take {single * 1e4:.0f} s")
    print(f"ratio                                       {single * 1e4 / whole:6.0f}")
    print(f"rating sheet of nine channels               {timed(lambda: limits(setup)):6.2f} s CPU")
    raised = Situation(rail.apply(situation.board, 24.0), situation.fitted, situation.policy)
    places, links = judge_board(raised)
    wanted = failing([*places, *links])
    print(f"cures of {len(wanted)} requirements                    {timed(lambda: cures(raised, wanted)):6.2f} s CPU")


if __name__ == "__main__":
    main()
