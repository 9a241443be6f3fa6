"""What the address of a board's page holds: the board, another policy, other parts fitted. It can be kept."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Annotated

from fastapi import Depends, Query

from partcheck.serve.bench import Bench, OnBench
from partcheck.serve.fitting import Fit, read_fits
from partcheck.serve.pages import WayTo, address
from partcheck.serve.warm import WarmBoard

File = Annotated[str, Query(description="path of the board in the folder that is served", max_length=400)]
Policy = Annotated[
    str | None, Query(description="datasheet, bench, ecss or nasa-goddard in place of the board's own", max_length=40)
]
Fits = Annotated[list[str] | None, Query(description="another part at a place, such as Q2=MAKER:PART; may be repeated")]
Resistors = Annotated[
    list[str] | None, Query(description="the resistor beside such a part, such as Q2=6.8 kΩ; may be repeated")
]


class BoardAsked:
    """A board as an address asks for it."""

    def __init__(self, bench: Bench, file: str, policy: str | None, fits: tuple[Fit, ...]) -> None:
        self.bench, self.file, self.policy, self.fits = bench, file, policy or None, fits

    @contextmanager
    def open(self) -> Iterator[WarmBoard]:
        """The board, while nobody else asks it."""
        with self.bench.boards.board(self.file, self.policy, self.fits) as warm:
            yield warm

    def to(self, path: str, fits: tuple[Fit, ...] | None = None, **more: object) -> str:
        """The address of a page of this board as it is asked for; with ``fits`` those in place of its own."""
        kept = self.fits if fits is None else fits
        return address(
            path,
            file=self.file,
            **more,
            policy=self.policy,
            fit=[f"{fit.ref}={fit.part}" for fit in kept],
            resistor=[f"{fit.ref}={fit.resistor}" for fit in kept if fit.resistor is not None],
        )

    def with_fit(self, fit: Fit) -> tuple[Fit, ...]:
        """The fits with one more, in place of another one there."""
        return (*(each for each in self.fits if each.ref != fit.ref), fit)

    def hidden(self) -> list[tuple[str, str]]:
        """What a form of a page of this board sends along."""
        pairs = [("file", self.file), *((("policy", self.policy),) if self.policy else ())]
        pairs += [("fit", f"{fit.ref}={fit.part}") for fit in self.fits]
        return pairs + [("resistor", f"{fit.ref}={fit.resistor}") for fit in self.fits if fit.resistor is not None]

    def roles(self) -> dict[str, str]:
        """The places of the board, each with its role."""
        with self.bench.boards.board(self.file) as warm:
            return {ref: role.role for ref, role in warm.setup.board_file.board.role.items()}

    def loads(self) -> list[str]:
        """The loads of the board."""
        with self.bench.boards.board(self.file) as warm:
            return list(warm.setup.board_file.board.load)

    def ways_back(self, path: str) -> list[WayTo]:
        """For each fit the address without it."""
        return [
            WayTo(self.to(path, tuple(each for each in self.fits if each != fit)), f"{fit.ref}: {fit.part}")
            for fit in self.fits
        ]


def _asked(
    bench: OnBench, file: File, policy: Policy = None, fit: Fits = None, resistor: Resistors = None
) -> BoardAsked:
    return BoardAsked(bench, file, policy, read_fits(fit or [], resistor or []))


OfBoard = Annotated[BoardAsked, Depends(_asked)]
