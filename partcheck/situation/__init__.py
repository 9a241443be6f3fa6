"""From the board file to the facts of each place: worst-case numbers, and what sums where."""

from partcheck.situation.situation import Situation

__all__ = ["Situation"]
