"""Answers of `board new` that were left before the board was written, kept beside the file that it is to be."""

import json
from pathlib import Path

from partcheck.outputs import write_text

FORMAT = 1


def place_of(target: Path) -> Path:
    """Where the draft of a board file is kept."""
    return target.with_name(f"{target.name}.draft.json")


def keep(target: Path, answers: dict[str, str]) -> None:
    """Keep the answers; the file is written whole or not at all."""
    write_text(
        place_of(target), json.dumps({"format": FORMAT, "answers": answers}, ensure_ascii=False, indent=1) + "\n"
    )


def kept(target: Path) -> dict[str, str]:
    """The answers that were kept; none where there are none, or what is there is no draft."""
    try:
        made = json.loads(place_of(target).read_text(encoding="utf-8"))
        answers = made["answers"] if made["format"] == FORMAT else {}
        return {str(key): str(text) for key, text in answers.items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return {}


def drop(target: Path) -> None:
    """Delete the draft, if there is one."""
    place_of(target).unlink(missing_ok=True)
