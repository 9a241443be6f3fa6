"""Entries that were left before they were saved, kept as files beside the catalog.

A draft is written whole after every answer: into a new file that then takes the place of the old one, so that a
program killed at any moment leaves the draft as it was before or after that answer.
"""

import contextlib
import json
import os
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

from partcheck.errors import PartcheckError, UsageError
from partcheck.parts.entry import Entry
from partcheck.scratch import draft_of

_ENDING = ".draft.json"


@dataclass
class PartDraft:
    """An entry and the file it is kept in; ``key`` tells which command goes on with it."""

    path: Path
    key: str
    who: str
    begun: str
    entry: Entry

    def keep(self) -> None:
        """Write the draft; a full or read-only disk is told in one sentence."""
        record = {"key": self.key, "who": self.who, "begun": self.begun, "entry": self.entry.to_json()}
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with draft_of(self.path) as beside:
                with beside.open("w", encoding="utf-8") as file:
                    json.dump(record, file, ensure_ascii=False)
                    file.flush()
                    os.fsync(file.fileno())
                os.replace(beside, self.path)
        except OSError as slip:
            raise UsageError(
                f"draft {self.path} cannot be written ({slip.strerror}); check space and permissions, and try again"
            ) from slip

    def drop(self) -> None:
        """Delete the file, if it was ever written."""
        with contextlib.suppress(OSError):
            self.path.unlink()
        with contextlib.suppress(OSError):
            self.path.parent.rmdir()  # only an empty folder goes


def drafts_folder(catalog: str | None) -> Path:
    """Where the drafts for a catalog are: beside its file, or for a server in the user's data folder."""
    from platformdirs import user_data_path

    from partcheck.catalog.place import find_place

    place = find_place(catalog)
    if place.path is not None:
        return place.path.with_name(f"{place.path.name}.drafts")
    own = sha256(place.shown.encode()).hexdigest()[:12]
    return user_data_path("partcheck", appauthor=False) / "drafts" / own


def key_of(*words: str) -> str:
    """Which command goes on with a draft: ``key_of("edit", "mosfet", "Acme", "M1")``."""
    return "\t".join(word.casefold() for word in words)


def new_draft(folder: Path, key: str, who: str, entry: Entry) -> PartDraft:
    """A draft that is not written yet."""
    now = datetime.now().astimezone()
    command = key.partition("\t")[0]
    name = f"{command}-{entry.kind}-{now:%Y%m%d-%H%M%S}-{os.urandom(3).hex()}"
    return PartDraft(folder / f"{name}{_ENDING}", key, who, now.isoformat(timespec="seconds"), entry)


def open_drafts(folder: Path, key: str, who: str) -> list[PartDraft]:
    """What was left of that command, that person's own last, oldest first; what cannot be read is no draft."""
    found = []
    with contextlib.suppress(OSError):
        for path in folder.glob(f"*{_ENDING}"):
            draft = _read(path)
            if draft is not None and draft.key == key:
                found.append(draft)
    return sorted(found, key=lambda draft: (draft.who == who, draft.begun, draft.path.name))


def _read(path: Path) -> PartDraft | None:
    try:
        made: Any = json.loads(path.read_text(encoding="utf-8"))
        return PartDraft(path, str(made["key"]), str(made["who"]), str(made["begun"]), Entry.from_json(made["entry"]))
    except (OSError, KeyError, TypeError, ValueError, AttributeError, RecursionError, PartcheckError):
        return None
