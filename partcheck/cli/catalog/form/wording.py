"""What a question says, in :mod:`partcheck.jobs.entry.wording`, and what may be answered on a terminal."""

from collections.abc import Sequence

from partcheck.jobs.entry import wording
from partcheck.jobs.entry.wording import bounds_question, table_question, value_question
from partcheck.parts import Part

HELP = (
    "Part number and maker are needed; Enter alone skips whatever else the datasheet does not state. ? explains, "
    "< goes back, - clears a value, ! goes on to the review, . (or Ctrl-D) leaves and keeps a draft. @4 says that what "
    "follows is from page 4, @ asks for the source again, @n=5 says that it was measured on 5 pieces; "
    "'60 V @ Tj = 25 °C' adds a condition."
)


def explain(kind: str, name: str, known: Sequence[Part]) -> list[str]:
    """Everything about a value or table, for ``?``."""
    return [*wording.explain(kind, name, known), HELP]


__all__ = ["HELP", "bounds_question", "explain", "table_question", "value_question"]
