"""The light that is wanted, and that of the fitted LED."""

import math
from dataclasses import dataclass

from partcheck.board.roles import Indicator
from partcheck.errors import UsageError
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.light.operating import OperatingPoint, operating_point
from partcheck.units import parse


@dataclass(frozen=True)
class WantedLight:
    """The light that is wanted of one LED at typical: an intensity (cd), or a ratio to the fitted LED."""

    target: float | None = None
    ratio: float = 1.0

    @property
    def equal(self) -> bool:
        """True where the light of the fitted LED itself is wanted."""
        return self.target is None and self.ratio == 1.0

    def light(self, fitted: OperatingPoint | None) -> float:
        """The wanted intensity, cd; NaN where it rests on a fitted LED whose light is not known."""
        if self.target is not None:
            return self.target
        return math.nan if fitted is None else self.ratio * fitted.light


def read_wanted(target: str | None, ratio: str | float | None) -> WantedLight:
    """The wanted light as a user writes it; each slip is one sentence."""
    if target is not None and ratio is not None:
        raise UsageError("--target and --ratio both say how much light is wanted; give one of them")
    if target is not None:
        return WantedLight(target=_positive("--target", target, "cd", "5 mcd"))
    return WantedLight(ratio=_positive("--ratio", ratio, "", "0.5")) if ratio is not None else WantedLight()


def _positive(option: str, text: str | float, unit: str, example: str) -> float:
    try:
        value = parse(text, unit)
    except UsageError:
        raise
    except Exception as slip:
        raise UsageError(f"{option} {text!s}: {slip}") from None
    if not 0 < value < math.inf:
        raise UsageError(f"{option} {text!s} is not above zero; write for example {option} {example!r}")
    return value


def indicator_place(setup: Setup, ref: str) -> Indicator:
    """The indicator at ``ref``; ``UsageError`` where something else sits there."""
    roles = setup.board_file.board.role
    place = roles[ref]
    if isinstance(place, Indicator):
        return place
    there = [name for name, role in roles.items() if isinstance(role, Indicator)]
    hint = f"its indicators are {', '.join(there)}" if there else "the board has none"
    raise UsageError(f"{ref} is not an indicator LED, and brightness needs one; {hint}")


def fitted_light(setup: Setup, ref: str, wanted: WantedLight) -> OperatingPoint | None:
    """The fitted LED at its operating point; ``UsageError`` where the wanted light rests on one that is not known."""
    if setup.situation.fitted.get(ref) is not None:
        return operating_point(setup.situation, ref)
    if wanted.target is None:
        raise UsageError(
            f"{ref} has no LED with known values fitted to compare with; give --target, or enter that LED's values"
        )
    return None
