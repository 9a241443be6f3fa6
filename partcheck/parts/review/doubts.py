"""A doubt about a value, and the rules that raise one."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from partcheck.parts.part import Part


@dataclass(frozen=True)
class Doubt:
    """A value that may be wrong: which rule doubts it, which columns or tables it is about, and why."""

    kind: str
    part_number: str
    maker: str
    rule: str
    columns: tuple[str, ...]
    reason: str

    def __str__(self) -> str:
        return self.reason


Found = tuple[tuple[str, ...], str]
"""The columns that a rule doubts, and the sentence."""


@dataclass(frozen=True)
class Rule:
    """A relation that a datasheet must obey; ``look`` yields what breaks it."""

    name: str
    kind: str
    look: Callable[[Part], Iterator[Found]]

    def doubts(self, part: Part) -> Iterator[Doubt]:
        """What this rule doubts about a part."""
        for columns, reason in self.look(part):
            yield Doubt(part.kind, part.part_number, part.maker, self.name, columns, reason)


RULES: dict[str, list[Rule]] = {}


def rule(*kinds: str) -> Callable[[Callable[[Part], Iterator[Found]]], Callable[[Part], Iterator[Found]]]:
    """Declare a rule for parts of these kinds; its name is the function's, with hyphens."""

    def keep(look: Callable[[Part], Iterator[Found]]) -> Callable[[Part], Iterator[Found]]:
        for kind in kinds:
            RULES.setdefault(kind, []).append(Rule(look.__name__.replace("_", "-"), kind, look))
        return look

    return keep
