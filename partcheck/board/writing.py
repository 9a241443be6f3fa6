"""Write values into a board's text that says things once: a change of one member is stated for that member only.

Paths are those of the board as written out (:mod:`partcheck.board.short`). What would change for another member too,
because it is like the changed one, is stated for that other as it was.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from partcheck.board.edit import change_data, edited, same
from partcheck.board.locate import Path
from partcheck.board.short import INNER, NAMED, OWN_KEYS, write_out
from partcheck.inputs import toml_of

ROUNDS = 1000
"""Statements written for one change, at most: each puts one value of one member right."""


def edited_board(text: str, changes: Sequence[tuple[Path, object]]) -> str:
    """The text with the values at the given paths of the board set, in the given order; ``None`` takes a key away.

    Everything else about the board reads as before, which is checked; and every other byte of the text stays. A text
    without ranges and ``like`` is edited as any TOML text (:func:`partcheck.board.edit.edited`).
    """
    wanted: dict[Any, Any] = write_out(toml_of(text)).data
    if same(wanted, toml_of(text)):
        return edited(text, changes)
    for path, value in changes:
        change_data(wanted, path, value)
        text = _stated(text, path, wanted)
        if len(path) == 2 and isinstance(value, Mapping) and any(key in value for key in OWN_KEYS):
            wanted[path[0]][path[1]] = _at(write_out(toml_of(text)).data, path)  # it is like another
    for _ in range(ROUNDS):
        differing = next(_differences(write_out(toml_of(text)).data, wanted), None)
        if differing is None:
            return text
        text = _stated(text, differing, wanted)
    raise AssertionError(f"the edited board does not read as the old one with {changes} changed")


def _stated(text: str, path: Path, wanted: dict[Any, Any]) -> str:
    """The text in which a place of the board is stated as ``wanted`` has it."""
    if path[0] not in NAMED or len(path) < 3:
        whole = _written_alike(text, path)
        return edited(text, [(whole, _at(wanted, whole))])
    table, name, key, *rest = path
    here: Path = (table, name, key)
    inner = bool(rest) and key in INNER
    if inner:
        here = (*here, rest[0])
    own = _at(toml_of(text), (table, name))
    value = _at(wanted, here)
    if value is None and inner:
        raise AssertionError(
            f"{'.'.join(map(str, here))} is stated elsewhere in the file and cannot be taken away here"
        )
    if value is None:
        return _taken_away(text, here)
    if own is None:  # the member stands in a range, and gets a table of its own
        return edited(text, [((table, name), _nested(here[2:], value))])
    if inner and _at(own, (key,)) is None:
        return edited(text, [((table, name, key), {rest[0]: value})])
    if key in INNER and isinstance(value, Mapping):
        value = _what_differs(text, here, value)
    return edited(text, [(here, value)])


def _what_differs(text: str, here: Path, value: Mapping[str, Any]) -> Mapping[str, Any]:
    """Of an inner table what its member has to state itself: what it states already, and what differs from below."""
    without_own = edited(text, [(here, None)])
    below = _at(write_out(toml_of(without_own)).data, here) or {}
    own = _at(toml_of(text), here) or {}
    return {name: made for name, made in value.items() if name in own or not same(below.get(name), made)}


def _nested(path: Path, value: Any) -> dict[Any, Any]:
    for step in reversed(path):
        value = {step: value}
    made: dict[Any, Any] = value
    return made


def _written_alike(text: str, path: Path) -> Path:
    """The path, or that of the list around it where the file writes that list with ranges."""
    data = toml_of(text)
    full = write_out(data).data
    for depth in range(1, len(path)):
        stated, read = _at(data, path[:depth]), _at(full, path[:depth])
        if isinstance(read, list) and not (isinstance(stated, list) and len(stated) == len(read)):
            return path[:depth]
    return path


def _taken_away(text: str, here: Path) -> str:
    """The text in which a member does not have a key: not its own, and not that of a layer below."""
    table, name, key = here
    if _at(toml_of(text), here) is not None:
        text = edited(text, [(here, None)])
    if _at(write_out(toml_of(text)).data, here) is None:
        return text
    gone = _at(toml_of(text), (table, name, "without")) or []
    gone = [*(gone if isinstance(gone, list) else [gone]), key]
    if _at(toml_of(text), (table, name)) is None:
        return edited(text, [((table, name), {"without": gone})])
    return edited(text, [((table, name, "without"), gone)])


def _differences(now: Any, wanted: Any) -> Iterator[Path]:
    """Places at which a board reads otherwise than wanted, no deeper than what an entry states."""
    for table in {**now, **wanted}:
        mine, its = now.get(table), wanted.get(table)
        if table not in NAMED or not isinstance(mine, Mapping) or not isinstance(its, Mapping):
            if not same(mine, its):
                yield (table,)
            continue
        for name in {**mine, **its}:
            if same(mine.get(name), its.get(name)):
                continue
            if name not in mine or name not in its:
                raise AssertionError(f"{table}.{name} came or went with another change")
            for key in {**mine[name], **its[name]}:
                if not same(mine[name].get(key), its[name].get(key)):
                    yield (table, name, key)


def _at(data: Any, path: Path) -> Any:
    """What stands there; None where nothing does."""
    for step in path:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return None
    return data
