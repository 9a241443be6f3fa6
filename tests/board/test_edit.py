"""One value of a board file changed: that value differs, and every other byte of the file stays."""

import difflib
import tomllib
from copy import deepcopy
from pathlib import Path as FilePath
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from partcheck.board.edit import edited
from partcheck.board.locate import Path, key_lines
from tests.draws import some
from tests.valves import MORE, TABLES, cut

SAMPLE = (FilePath(__file__).parents[2] / "catalog_samples" / "bottling-bench.toml").read_bytes().decode()
CORNER = cut(f"{TABLES} {MORE} U3 PUMP pump Q4 D4 LIGHT light Q9 D5 D6 J1 common_return valve_returns")


def scalars(data: Any, path: Path = ()) -> list[tuple[Path, Any]]:
    """Every value of a document that is no table and no list."""
    if isinstance(data, dict):
        return [found for name, inner in data.items() for found in scalars(inner, (*path, name))]
    if isinstance(data, list):
        return [found for i, inner in enumerate(data) for found in scalars(inner, (*path, i))]
    return [(path, data)]


def another(value: Any) -> Any:
    """A value of the same kind that differs."""
    if isinstance(value, bool):
        return not value
    return value + 1 if isinstance(value, int | float) else f'{value} "other" \\ Ω'


def set_in(data: Any, path: Path, value: Any) -> Any:
    """A copy of the data with one value set, made without the code under test."""
    data = deepcopy(data)
    node = data
    for step in path[:-1]:
        node = node.setdefault(step, {}) if isinstance(node, dict) else node[step]
    if value is None:
        node.pop(path[-1])
    elif isinstance(node, list) and path[-1] == len(node):
        node.append(value)
    else:
        node[path[-1]] = value
    return data


def changed_lines(old: str, new: str) -> tuple[list[str], list[str]]:
    """The lines taken away and the lines put in."""
    rows = list(difflib.ndiff(old.splitlines(keepends=True), new.splitlines(keepends=True)))
    return [r[2:] for r in rows if r.startswith("- ")], [r[2:] for r in rows if r.startswith("+ ")]


@pytest.mark.parametrize("board", [SAMPLE, CORNER], ids=["whole", "corner"])
@pytest.mark.parametrize("new_line", ["\n", "\r\n"])
def test_every_scalar_of_the_sample_board_can_be_changed_alone(board: str, new_line: str) -> None:
    """Of the whole board an ordinary run changes some, of a corner with every sort of table all."""
    text = board.replace("\n", new_line)
    data = tomllib.loads(text)
    found = scalars(data)
    assert len(found) > (400 if board == SAMPLE else 200)
    lines = key_lines(text)
    old_lines = text.splitlines(keepends=True)
    for path, value in found if board == CORNER and new_line == "\n" else some(found, 60):
        new = edited(text, [(path, another(value))])
        assert tomllib.loads(new) == set_in(data, path, another(value)), path
        new_lines = new.splitlines(keepends=True)
        assert len(new_lines) == len(old_lines), path
        differ = [i for i, pair in enumerate(zip(old_lines, new_lines, strict=True)) if pair[0] != pair[1]]
        assert len(differ) == 1, path
        written = path
        while written not in lines:
            written = written[:-1]
        assert lines[written] - 1 <= differ[0] <= lines[written] + 8, path
        old, now = old_lines[differ[0]], new_lines[differ[0]]
        assert old.partition("  #")[2] == now.partition("  #")[2]  # the comment on that line stays


@pytest.mark.parametrize("text", [SAMPLE, CORNER], ids=["whole", "corner"])
def test_every_statement_of_the_sample_board_can_be_taken_away(text: str) -> None:
    data = tomllib.loads(text)
    for path in key_lines(text) if text == CORNER else some(list(key_lines(text)), 80):
        node: Any = data
        for step in path[:-1]:
            node = node[step]
        if isinstance(node, list) or len(node) == 1:
            continue
        new = edited(text, [(path, None)])
        assert tomllib.loads(new) == set_in(data, path, None), path
        gone, come = changed_lines(text, new)
        assert not come or len(gone) == len(come) == 1, path  # a whole statement, or a key of an inline table


def test_a_key_is_added_after_the_last_statement_of_its_table() -> None:
    new = edited(SAMPLE, [(("role", "Q1", "tj_limit"), "120 °C")])
    gone, come = changed_lines(SAMPLE, new)
    assert gone == [] and come == ['tj_limit = "120 °C"\n']
    at = new.splitlines().index('tj_limit = "120 °C"')
    assert new.splitlines()[at - 1].startswith('pulldown = "100 kΩ ±5 %"  # holds the valve')
    assert new.splitlines()[at + 1] == ""


def test_comments_above_the_next_table_stay_with_it() -> None:
    text = "[a]\nx = 1\n\n# about b\n[b]\ny = 2\n"
    assert edited(text, [(("a", "z"), 3)]) == "[a]\nx = 1\nz = 3\n\n# about b\n[b]\ny = 2\n"
    assert edited(text, [(("a",), None)]) == "\n# about b\n[b]\ny = 2\n"


def test_a_missing_table_is_added_at_the_end() -> None:
    new = edited(SAMPLE, [(("load", "pump", "chopped", "group"), "one"), (("rail", "V9", "voltage"), "9 V ±1 %")])
    assert new.startswith(SAMPLE.partition("[load.pump]")[0])
    assert 'duty = "0.1..1", group = "one" }' in new
    assert new.endswith('spacing = "0.65 mm"\n\n[rail.V9]\nvoltage = "9 V ±1 %"\n')


CASES: list[tuple[str, Path, object, str]] = [
    ("a.b = 1 # why\na.c = 2\n", ("a", "b"), "x", 'a.b = "x" # why\na.c = 2\n'),
    ("a.b = 1\n[t]\n", ("a", "c"), 2, "a.b = 1\na.c = 2\n[t]\n"),
    ('"a.b"."c d" = 1\n', ("a.b", "c d"), 2, '"a.b"."c d" = 2\n'),
    ("['a.b'.\"c\"] # head\nx=1", ("a.b", "c", "y z"), 2, '[\'a.b\'."c"] # head\nx=1\n"y z" = 2'),
    ("t = {a = 1, b = {c = 2}}\n", ("t", "b", "c"), 3, "t = {a = 1, b = {c = 3}}\n"),
    ("t = {a = 1}\n", ("t", "b"), 3, "t = {a = 1, b = 3}\n"),
    ("t = {a = 1 } # c\n", ("t", "b", "c"), 3, "t = {a = 1, b.c = 3 } # c\n"),
    ("t = {}\n", ("t", "b"), [1.5, "x"], 't = { b = [1.5, "x"] }\n'),
    ("t = { a = [\n  1, # one\n  2,\n], b = 1 }\n", ("t", "a", 1), 5, "t = { a = [\n  1, # one\n  5,\n], b = 1 }\n"),
    ("a = [\n  1, # one\n  2,\n] # end\n", ("a",), [1, 2, 3], "a = [\n  1, # one\n  2,\n  3,\n] # end\n"),
    ("a = [\n  1,\n  2 # two\n]\n", ("a", 2), 3, "a = [\n  1,\n  2, # two\n  3\n]\n"),
    ("a = [1, 2]\n", ("a",), [4], "a = [4]\n"),
    ("a = [\n  1, # one, it is\n  2,\n]\n", ("a", 0), None, "a = [\n  2,\n]\n"),
    ("t = {a = 1, b = 2, c = 3}\n", ("t", "b"), None, "t = {a = 1, c = 3}\n"),
    ("t = {a = 1, b = 2}\n", ("t", "a"), None, "t = {b = 2}\n"),
    ("t = {a = 1, b = 2}\n", ("t", "b"), None, "t = {a = 1}\n"),
    ("t = {a = 1}\n", ("t", "a"), None, "t = {}\n"),
    ("[[x]]\na = 1\n[[x]]\na = 2\n[y]\n", ("x", 0, "a"), 7, "[[x]]\na = 7\n[[x]]\na = 2\n[y]\n"),
    ("[[x]]\na = 1\n[[x]]\na = 2\n[y]\n", ("x", 0), None, "[[x]]\na = 2\n[y]\n"),
    ("[[x]]\na = 1\n", ("x", 1, "a"), 2, "[[x]]\na = 1\n\n[[x]]\na = 2\n"),
    ("[[x]]\na = 1\n[[x]]\na = 2\n", ("x", 0, "s", "b"), 2, "[[x]]\na = 1\n\n[x.s]\nb = 2\n[[x]]\na = 2\n"),
    ("[a.b.c]\nx = 1\n", ("a", "b", "y"), 2, "[a.b.c]\nx = 1\n\n[a.b]\ny = 2\n"),
    ("[a] # only\nx = 1\n", ("a", "x"), None, "[a] # only\n"),
    ("# only a comment\n", ("x",), 1, "x = 1\n# only a comment\n"),
    ('s = """two\nlines"" """ # c\nu = 1\n', ("s",), "x\ty", 's = "x\\ty" # c\nu = 1\n'),
    ("s = '''it''s'''\nu = 1\n", ("u",), True, "s = '''it''s'''\nu = true\n"),
    ("d = 1979-05-27 07:32:00 # day\n", ("d",), 1, "d = 1 # day\n"),
    ("[r.Q]\nfitted = 'A'\n", ("r", "Q", "fitted"), {"maker": "M"}, '[r.Q]\nfitted = { maker = "M" }\n'),
    ("[r.Q]\nx = 1\n[r.Q.fitted]\nmaker = 'M'\n", ("r", "Q", "fitted"), "A", '[r.Q]\nx = 1\nfitted = "A"\n'),
    ("\tx = 1\n\t[t]\n\ty = 1\n", ("t", "z"), 1, "\tx = 1\n\t[t]\n\ty = 1\n\tz = 1\n"),
    ("\ufeffx = 1\r\n", ("y",), 1, "\ufeffx = 1\r\ny = 1\r\n"),
    ("[t]\r\nx = 1\r\n", ("u", "y"), 1, "[t]\r\nx = 1\r\n\r\n[u]\r\ny = 1\r\n"),
    ("x = 1 # same\n", ("x",), 1, "x = 1 # same\n"),
    ("x = 1\n", ("x",), 1.0, "x = 1.0\n"),
    ("x = 1\n", ("nothing",), None, "x = 1\n"),
]


@pytest.mark.parametrize(("text", "path", "value", "wanted"), CASES)
def test_a_change_keeps_every_other_byte(text: str, path: Path, value: object, wanted: str) -> None:
    assert edited(text, [(path, value)]) == wanted


def test_several_changes_in_one_go() -> None:
    text = "[role.Q1] # a switch\nfitted = 'A'   # the first\n"
    new = edited(text, [(("role", "Q1", "fitted"), "B"), (("role", "Q1", "footprint"), ["SMA"]), (("x",), None)])
    assert new == '[role.Q1] # a switch\nfitted = "B"   # the first\nfootprint = ["SMA"]\n'


NAMES = st.sampled_from(["a", "b", "c", "a b", "d.e", "ü", "#", '"'])
LEAVES = st.one_of(
    st.integers(-5, 5),
    st.booleans(),
    st.floats(allow_nan=False),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=6),
)
VALUES = st.recursive(LEAVES, lambda v: st.lists(v, max_size=3) | st.dictionaries(NAMES, v, max_size=3), max_leaves=8)


@st.composite
def documents(draw: st.DrawFn) -> str:
    """A TOML text in odd but valid layouts."""
    lines: list[str] = []

    def word(value: Any) -> str:
        if isinstance(value, str):
            plain = all(c >= " " and c not in "'\x7f" for c in value)
            return f"'{value}'" if plain and draw(st.booleans()) else edited("", [(("k",), value)])[4:].rstrip("\n")
        if isinstance(value, dict):
            return "{" + ",".join(f" {key(n)}={word(v)} " for n, v in value.items()) + "}"
        if isinstance(value, list):
            space = draw(st.sampled_from([" ", "\n  ", ' # it, is [ { " \n']))
            return "[" + ",".join(space + word(v) + space for v in value) + "]"
        return edited("", [(("k",), value)])[4:].rstrip("\n")

    def key(name: str) -> str:
        return name if name in ("a", "b", "c") else edited("", [((name,), 1)])[:-5]

    def table(prefix: str, depth: int) -> None:
        names = draw(st.lists(NAMES, unique=True, max_size=4))
        own, sub = names[:2], names[2:]
        for name in own:
            dotted = key(name) + (" . x" if draw(st.booleans()) else "")
            lines.append(f"{dotted} = {word(draw(VALUES))}{draw(st.sampled_from(['', ' # note = 1', '   ']))}")
            if draw(st.booleans()):
                lines.append(draw(st.sampled_from(["", "# [comment] x = 1"])))
        for name in sub if depth < 2 else []:
            header = f"{prefix}{key(name)}"
            if draw(st.booleans()):
                for _ in range(draw(st.integers(1, 2))):
                    lines.append(f"[[{header}]] # listed")
                    table(f"{header}.", depth + 1)
            else:
                lines.append(f" [ {header} ]")
                table(f"{header}.", depth + 1)

    table("", 0)
    return draw(st.sampled_from(["\n", "\r\n"])).join(lines) + draw(st.sampled_from(["", "\n"]))


def paths(data: Any, path: Path = ()) -> list[Path]:
    """Every path of a document."""
    inner = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [found for name, value in inner for found in [(*path, name), *paths(value, (*path, name))]]


def headed(text: str) -> bool:
    """True where a text has an array of tables, whose elements stay tables."""
    return any(line.startswith("[[") for line in text.splitlines())


@settings(
    max_examples=300,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow],
)
@given(documents(), st.data())
def test_any_edit_reads_back_as_the_data_with_that_value(text: str, data: st.DataObject) -> None:
    old = tomllib.loads(text)
    known = paths(old)
    path = data.draw(st.sampled_from([*known, ("new",), ("new", "er")]) if known else st.just(("new",)))
    if data.draw(st.booleans()):
        path = (*path[:-1], "further") if isinstance(path[-1], str) else path
    value = data.draw(VALUES)
    if isinstance(path[-1], int) and headed(text):
        value = {"x": value}
    new = edited(text, [(path, value)])
    assert tomllib.loads(new) == set_in(old, path, value)
    comments = [line for line in text.splitlines() if line.startswith("# [comment]")]
    if path not in known:
        assert [line for line in new.splitlines() if line.startswith("# [comment]")] == comments
        assert len(changed_lines(text, new)[0]) <= 1 + (not text.endswith("\n"))
    if path in known:
        gone = edited(text, [(path, None)])
        taken = deepcopy(old)
        node: Any = taken
        for step in path[:-1]:
            node = node[step]
        del node[path[-1]]
        assert tomllib.loads(gone) == taken
