"""Read a board file: TOML to a checked :class:`Board`, every slip named with its key and line."""

import difflib
import hashlib
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import islice
from pathlib import Path as FilePath
from typing import Any, NoReturn

from pydantic import BaseModel, ValidationError

from partcheck.board.locate import Path, key_lines, line_of, stated_path
from partcheck.board.models import Board, problems
from partcheck.board.short import INNER, NAMED, OWN_KEYS, WrittenOut, write_out
from partcheck.errors import BoardError, plainly
from partcheck.inputs import NotRead, folder_of, objection, read_bytes, read_toml, told, toml_of

MOST_BYTES = 2_000_000
TRADE = {
    "mosfet-switch": ("mosfet", "fet", "nmos"),
    "npn-sink": ("npn", "bjt", "transistor", "bipolar"),
    "indicator": ("led", "indicator-led"),
    "clamp": ("diode", "flyback", "freewheel", "tvs", "zener"),
    "regulator": ("ldo", "supply"),
    "terminal": ("connector", "screw-terminal"),
    "coil": ("valve", "relay", "solenoid", "contactor", "magnet"),
    "lamp": ("bulb", "light"),
    "motor": ("pump", "fan"),
    "resistive": ("heater", "resistor"),
}
"""By the word of the format for a role or a sort of load: what people write for it."""
SHEETS = frozenset({".csv", ".xlsx", ".xls", ".ods"})
MOST_NEAR = 5000
"""Files of a folder that are looked through for a name that is near."""
MOST_SLIPS = 100
"""Looked up and told at once; more of them are no slips but another sort of file."""


@dataclass(frozen=True)
class BoardFile:
    """A board as read: where from, its text, and a fingerprint of that text."""

    path: FilePath
    text: str
    board: Board
    fingerprint: str

    @property
    def folder(self) -> FilePath:
        """Where the files are that it names."""
        return folder_of(self.path)

    @cached_property
    def stated(self) -> dict[str, Any]:
        """What the file states, as texts and numbers, with every range and ``like`` written out."""
        return self._written_out.data

    @cached_property
    def _written_out(self) -> WrittenOut:
        return write_out(toml_of(self.text))

    def stated_at(self, table: str, name: str) -> list[tuple[int, str]]:
        """The lines, and the tables they open, that state something of a member: its own, its range's, another's."""
        lines, found = key_lines(self.text), {}
        for path, at in ({(table, name): (table, name)} | self._written_out.came_from).items():
            if path[:2] == (table, name) and at[:2] in lines:
                found[lines[at[:2]]] = _written(at[:2])
        return sorted(found.items())


def read_text(path: FilePath) -> str:
    """The text of a board file; every way a file can be wrong is one sentence."""
    if path.suffix.casefold() in SHEETS and path.is_file():
        raise BoardError(f"{told(path)} is a sheet, not a board file; a list of parts is given with --parts beside one")
    try:
        if why := objection(path, MOST_BYTES, "board file"):
            raise BoardError(why)
        raw = read_bytes(path, MOST_BYTES, "board file")
    except NotRead as slip:
        raise BoardError(str(slip)) from None
    except FileNotFoundError:
        raise BoardError(f"there is no board file {path}; {_near(path)}") from None
    except PermissionError:
        raise BoardError(f"{path} may not be read; check its permissions") from None
    except OSError as slip:
        raise BoardError(f"{path} cannot be read ({slip.strerror}); check the file") from None
    if not raw.strip():
        raise BoardError(f"{told(path)} is empty; `partcheck schema board` describes what a board file states")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BoardError(f"{told(path)} is not a text file in UTF-8; a board file is TOML text") from None
    if "\0" in text:
        raise BoardError(f"{told(path)} is not a text file; a board file is TOML text")
    return text


def read_board(path: str | FilePath) -> BoardFile:
    """Read and check a board file; ``BoardError`` names each slip with its key and line."""
    path = FilePath(path)
    text = read_text(path)
    return parse_board(text, path)


def parse_board(text: str, path: FilePath) -> BoardFile:
    """Check the text of a board file; ``path`` is for messages and for finding parts beside it."""
    try:
        data = read_toml(text)
    except tomllib.TOMLDecodeError as slip:
        raise BoardError(f"{path}: {_syntax(str(slip), text)}") from None
    except NotRead as slip:
        raise BoardError(f"{path}: {slip}") from None
    made = write_out(data)
    slips = [(place, place, sentence) for place, sentence in (*made.slips, *_unknown_without(data))]
    if slips:
        _raise(path, text, slips)
    board = _validate(made, text, path)
    found = [(where, made.place(where), message) for where, message in problems(board)]
    if found:
        _raise(path, text, found)
    return BoardFile(path, text, board, hashlib.sha256(text.encode()).hexdigest()[:16])


def _validate(made: WrittenOut, text: str, path: FilePath) -> Board:
    found: list[tuple[Path, Path, str]] = []
    try:
        board = Board.model_validate(made.data)
    except ValidationError as slips:
        for slip in islice(slips.errors(include_url=False), MOST_SLIPS):
            where = stated_path(slip["loc"], made.data)
            found.append((where, made.place(where), _sentence(slip)))
    if found:
        _raise(path, text, found)
    return board


def _unknown_without(data: dict[str, Any]) -> Iterator[tuple[Path, str]]:
    """Every ``without`` that names no key."""
    for table in NAMED:
        entries = data.get(table)
        for name, entry in entries.items() if isinstance(entries, dict) else ():
            stated = entry.get("without", []) if isinstance(entry, dict) else []
            known = sorted(set(_known_keys((table,))))
            for key in stated if isinstance(stated, list) else [stated]:
                if key not in known:
                    close = difflib.get_close_matches(str(key), known, 1, 0.5)
                    hint = f"did you mean {close[0]!r}?" if close else f"known: {', '.join(known)}"
                    yield (table, name, "without"), f"there is no key {key!r}; {hint}"


def _raise(path: FilePath, text: str, found: list[tuple[Path, Path, str]]) -> NoReturn:
    """Say what is wrong: the place on the board, the place in the file, and a sentence.

    What one statement of the file gets wrong for several members alike is said once, with that statement's own name.
    """
    lines = key_lines(text)
    grouped: dict[tuple[int, Path, str], list[Path]] = {}
    for where, place, message in found:
        wheres = grouped.setdefault((line_of(place, lines), place, message), [])
        if where not in wheres:
            wheres.append(where)
    details = []
    for (line, place, message), wheres in sorted(grouped.items(), key=lambda group: group[0][0]):
        named = _written(wheres[0])
        if len(wheres) > 1:
            named = f"{_written(place)} ({wheres[0][1]} and {len(wheres) - 1} more)"
        details.append(f"{path}:{line}: {named}: {message}")
    slips = [(where, message) for where, _, message in found]
    if len(details) == 1:
        raise BoardError(details[0], slips=slips)
    many = f"{MOST_SLIPS} errors or more" if len(details) >= MOST_SLIPS else f"{len(details)} errors"
    raise BoardError(f"{path} has {many}; correct each of them", details, slips)


def _written(where: Path) -> str:
    text = ""
    for step in where:
        name = f'"{step}"' if ".." in str(step) else str(step)
        text += f"[{step}]" if isinstance(step, int) else f".{name}" if text else name
    return text or "the file"


def _near(path: FilePath) -> str:
    """Which board file may have been meant, of those in the same folder."""
    try:
        names = [other.name for other in islice(path.parent.iterdir(), MOST_NEAR) if other.suffix == ".toml"]
    except OSError:
        names = []
    close = difflib.get_close_matches(path.name, names, 1) or difflib.get_close_matches(f"{path.name}.toml", names, 1)
    return f"did you mean {path.parent / close[0]}?" if close else "check the name"


def _syntax(slip: str, text: str) -> str:
    """Say a TOML syntax error in words, with its line; a name used twice is the usual one."""
    line = re.search(r"at line (\d+)", slip)
    where = f"line {line.group(1)}: " if line else ""
    if "Cannot declare" in slip or "Cannot overwrite" in slip:
        name = re.search(r"\('([^)]*)'\)", slip)
        named = name.group(1).replace("', '", ".") if name else ""
        what = f"[{named}] is" if named else "a key is"
        return f"{where}{what} given twice; a reference or key appears once in a board file"
    return f"{where}this is not TOML ({slip.split(' (at')[0].lower()}); a text stands in quotes, a table in [brackets]"


def _sentence(slip: Any) -> str:
    kind = slip["type"]
    if kind == "extra_forbidden":
        key = str(slip["loc"][-1])
        loc: Path = slip["loc"]
        of_entry = loc[0] in NAMED and not any(step in INNER or isinstance(step, int) for step in loc)
        known = sorted({*_known_keys(loc[:-1]), *(OWN_KEYS if of_entry else ())})
        if key == "power" and "current" in known:
            return "there is no such key; state the current that it draws, power over voltage"
        close = difflib.get_close_matches(key[:40], known, 1, 0.5)
        return (
            f"there is no such key; did you mean {close[0]!r}?"
            if close
            else f"there is no such key; known: {', '.join(known)}"
        )
    if kind == "missing":
        return f"is missing; state {'at least one place, as [role.Q1]' if slip['loc'] == ('role',) else 'it'}"
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        tag = slip["ctx"]["discriminator"].strip("'")
        names = [name.strip(" '") for name in slip["ctx"].get("expected_tags", "").split(",")]
        if kind == "union_tag_not_found":
            meant = difflib.get_close_matches("like", slip["input"], 1, 0.7)
            return f"must state {tag}" + (f"; did you mean 'like' by {meant[0]!r}?" if meant else "")
        given = str(slip["ctx"]["tag"])
        close = [name for name in names if given.casefold() in TRADE.get(name, ())]
        close = close or difflib.get_close_matches(given[:40], names, 1, 0.6)
        hint = f"did you mean {close[0]!r}?" if close else f"known: {', '.join(names)}"
        if given in ("ac", "a.c.", "alternating"):
            hint = "an a.c. load is outside this tool, which is for direct current only"
        return f"{tag} {given[:40]!r} is not known; {hint}"
    message = plainly(str(slip["msg"]))
    if kind == "value_error":
        return message
    return f"{message[0].lower()}{message[1:]} (read: {str(slip['input'])[:40]!r})"


def _known_keys(loc: Path) -> Iterator[str]:
    """The keys of the table at this place of the format."""
    models: list[type[BaseModel]] = [Board]
    for step in loc:
        following: list[type[BaseModel]] = []
        for model in models:
            if isinstance(step, str) and step in model.model_fields:
                following += _models(model.model_fields[step].annotation)
            else:
                tags = [f for f in ("sort", "role") if f in model.model_fields]
                if tags and step in getattr(model.model_fields[tags[0]].annotation, "__args__", ()):
                    following = [model]
                    break
        if following:
            models = following
    for model in models:
        yield from model.model_fields


def _models(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for inner in getattr(annotation, "__args__", ()) for model in _models(inner)]
