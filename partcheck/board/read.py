"""Read a board file: TOML to a checked :class:`Board`, every slip named with its key and line."""

import difflib
import hashlib
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from pydantic import BaseModel, ValidationError

from partcheck.board.locate import Path, key_lines, locate
from partcheck.board.models import Board, problems
from partcheck.errors import BoardError

MOST_BYTES = 2_000_000


@dataclass(frozen=True)
class BoardFile:
    """A board as read: where from, its text, and a fingerprint of that text."""

    path: FilePath
    text: str
    board: Board
    fingerprint: str


def read_text(path: FilePath) -> str:
    """The text of a board file; every way a file can be wrong is one sentence."""
    try:
        if path.is_dir():
            raise BoardError(f"{path} is a folder; name the board file (.toml) in it")
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise BoardError(
                f"{path} has {size / 1e6:.0f} MB, far more than a board file; the limit is {MOST_BYTES // 1_000_000} MB"
            )
        raw = path.read_bytes()
    except FileNotFoundError:
        raise BoardError(f"there is no board file {path}; check the name") from None
    except PermissionError:
        raise BoardError(f"{path} may not be read; check its permissions") from None
    except OSError as slip:
        raise BoardError(f"{path} cannot be read ({slip.strerror}); check the file") from None
    if not raw.strip():
        raise BoardError(f"{path} is empty; `partcheck schema board` describes what a board file states")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BoardError(f"{path} is not a text file in UTF-8; a board file is TOML text") from None
    if "\0" in text:
        raise BoardError(f"{path} is not a text file; a board file is TOML text")
    return text


def read_board(path: str | FilePath) -> BoardFile:
    """Read and check a board file; ``BoardError`` names each slip with its key and line."""
    path = FilePath(path)
    text = read_text(path)
    return parse_board(text, path)


def parse_board(text: str, path: FilePath) -> BoardFile:
    """Check the text of a board file; ``path`` is for messages and for finding parts beside it."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as slip:
        raise BoardError(f"{path}: {_syntax(str(slip), text)}") from None
    except RecursionError:
        raise BoardError(f"{path} has lists or tables nested far too deeply; write it as the format says") from None
    board = _validate(data, text, path)
    found = list(problems(board))
    if found:
        lines = key_lines(text)
        _raise(path, sorted((locate(where, data, lines), message) for where, message in found))
    return BoardFile(path, text, board, hashlib.sha256(text.encode()).hexdigest()[:16])


def _validate(data: dict[str, Any], text: str, path: FilePath) -> Board:
    try:
        return Board.model_validate(data)
    except ValidationError as slips:
        lines = key_lines(text)
        found = []
        for slip in slips.errors(include_url=False):
            where = locate(slip["loc"], data, lines)
            found.append((where, _sentence(slip, data)))
        _raise(path, sorted(found, key=lambda made: made[0][1]))
        raise AssertionError from None


def _raise(path: FilePath, found: list[tuple[tuple[Path, int], str]]) -> None:
    details = [f"{path}:{line}: {_written(where)}: {message}" for (where, line), message in found]
    if len(details) == 1:
        raise BoardError(details[0])
    raise BoardError(f"{path} has {len(details)} slips; mend each of them", details)


def _written(where: Path) -> str:
    text = ""
    for step in where:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else str(step)
    return text or "the file"


def _syntax(slip: str, text: str) -> str:
    """Say a TOML syntax error in words, with its line; a name used twice is the usual one."""
    line = re.search(r"at line (\d+)", slip)
    where = f"line {line.group(1)}: " if line else ""
    if "Cannot declare" in slip or "Cannot overwrite" in slip:
        name = re.search(r"\('([^)]*)'\)", slip)
        named = name.group(1).replace("', '", ".") if name else ""
        what = f"[{named}] is" if named else "a key is"
        return f"{where}{what} given twice; a reference or key stands once in a board file"
    return f"{where}this is not TOML ({slip.split(' (at')[0].lower()}); a text stands in quotes, a table in [brackets]"


def _sentence(slip: Any, data: Any) -> str:
    kind = slip["type"]
    if kind == "extra_forbidden":
        key = str(slip["loc"][-1])
        known = sorted(_known_keys(slip["loc"][:-1]))
        close = difflib.get_close_matches(key, known, 1, 0.5)
        return (
            f"there is no such key; did you mean {close[0]!r}?"
            if close
            else f"there is no such key; known: {', '.join(known)}"
        )
    if kind == "missing":
        return "is missing; state it"
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        tag = slip["ctx"]["discriminator"].strip("'")
        names = [name.strip(" '") for name in slip["ctx"].get("expected_tags", "").split(",")]
        if kind == "union_tag_not_found":
            return f"must state {tag}"
        given = str(slip["ctx"]["tag"])
        close = difflib.get_close_matches(given, names, 1, 0.4)
        hint = f"did you mean {close[0]!r}?" if close else f"known: {', '.join(names)}"
        if given in ("ac", "a.c.", "alternating"):
            hint = "an a.c. load is outside this tool, which is for direct current only"
        return f"{tag} {given!r} is not known; {hint}"
    message = str(slip["msg"]).removeprefix("Value error, ")
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


def board_schema() -> dict[str, Any]:
    """JSON Schema of a board file (its TOML as JSON)."""
    schema = Board.model_json_schema()
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "partcheck board, format 1"
    return schema
