"""Whether a part number that is typed for a new board is one that is known, and what it may have meant."""

from functools import lru_cache
from pathlib import Path

from partcheck.errors import PartcheckError
from partcheck.jobs.judge.setup import Parts, known_parts
from partcheck.parameters import KINDS
from partcheck.parts.problems import did_you_mean


@lru_cache(maxsize=4)
def _parts(folder: Path | None) -> Parts | None:
    try:
        return known_parts([folder] if folder is not None else [])
    except PartcheckError:  # told when the board is judged
        return None


def unknown_part(text: str, kind: str, folder: Path | None) -> str:
    """Why a part number is asked about: no such part is known in the folder, or else the catalog; empty where it is."""
    parts = _parts(folder)
    maker, colon, number = text.rpartition(":")
    try:
        known = parts is None or parts.find(kind, number, maker if colon else "") is not None
    except PartcheckError:  # several makers have it
        known = True
    if known or parts is None or not (parts.given or parts.catalog is not None):
        return ""  # nothing is known at all, so far
    near = did_you_mean(number, parts.names(kind, number))
    return (
        f"no {KINDS[kind].word} called {text} is known in {folder.name if folder is not None else 'your catalog'}"
        + (f"; {near}" if near else "")
    )
