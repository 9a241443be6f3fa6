"""All rules on one part or many."""

from collections.abc import Iterable, Sequence

from partcheck.parts.part import Part
from partcheck.parts.review import physics, relations  # noqa: F401  (they declare the rules)
from partcheck.parts.review.doubts import RULES, Doubt
from partcheck.parts.review.peers import Peers
from partcheck.stages import each


def review_one(part: Part, peers: Peers | None = None) -> list[Doubt]:
    """What is doubtful about a part, for itself and among its peers."""
    found = [doubt for rule in RULES[part.kind] for doubt in rule.doubts(part)]
    return found + (list(peers.doubts(part)) if peers is not None else [])


def review(parts: Sequence[Part], known: Iterable[Part] | None = None) -> list[Doubt]:
    """What is doubtful about these parts, compared with ``known`` (default: with each other)."""
    peers = Peers(parts if known is None else known)
    return [doubt for part in each("reviewing parts", parts) for doubt in review_one(part, peers)]
