"""The pictures of the README, from the samples; ``python -m partcheck.report.pictures`` writes them anew."""

from collections.abc import Callable
from pathlib import Path

from partcheck.report.html.pictures.drawing import Drawing, standalone
from partcheck.shipped import folder

FOLDER = Path(__file__).parent.parent.parent / "catalog_samples" / "pictures"


def _limits() -> Drawing:
    """What the valve FV2 may be."""
    from partcheck.jobs.judge.setup import open_setup
    from partcheck.jobs.sweep.limits import limits
    from partcheck.jobs.sweep.map import map_of
    from partcheck.report.answers.limits.document import map_picture

    samples = folder("catalog_samples")
    found = limits(open_setup(samples / "bottling-bench.toml", [samples]), "FV2")
    return map_picture(found, map_of(found, 96, 64))


def _path() -> Drawing:
    """The path of FV2's current at a higher rail."""
    from partcheck.jobs.change.options import Asked
    from partcheck.jobs.judge.setup import open_setup
    from partcheck.jobs.vet.vet import vet
    from partcheck.report.html.pictures.path import drawn

    samples = folder("catalog_samples")
    vetted = vet(open_setup(samples / "bottling-bench.toml", [samples]), "FV2", Asked(voltage="18 V"))
    return drawn(vetted.load, vetted.steps, True)


def _turn_off() -> Drawing:
    """The turn-off of the dosing valve, clamped across its switch."""
    from partcheck.jobs.judge.place import judge_place
    from partcheck.jobs.judge.setup import open_setup
    from partcheck.report.html.pictures.turnoff import drawn

    samples = folder("catalog_samples")
    situation = open_setup(samples / "bottling-bench.toml", [samples]).situation
    made = drawn(situation, judge_place(situation, "D3"))
    assert made is not None
    return made


PICTURES: dict[str, Callable[[], Drawing]] = {"limits.svg": _limits, "path.svg": _path, "turn-off.svg": _turn_off}


def main() -> None:
    """Write them all."""
    FOLDER.mkdir(exist_ok=True)
    for name, make in PICTURES.items():
        (FOLDER / name).write_text(standalone(make()), encoding="utf-8")


if __name__ == "__main__":
    main()
