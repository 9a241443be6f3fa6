"""Nested data changed anywhere, and written as TOML, JSON, CSV or XLSX."""

import copy
import json
import math
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from tests.fuzz.words import WORDS, anything

Way = tuple[str | int, ...]
Fitting = Callable[[str], st.SearchStrategy[object]]


def ways(node: Any, way: Way = ()) -> Iterator[Way]:
    """The path of every value."""
    inner = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for step, value in inner:
        yield (*way, step)
        yield from ways(value, (*way, step))


def at(node: Any, way: Way) -> Any:
    """The value at a path."""
    for step in way:
        node = node[step]
    return node


@st.composite
def changed(draw: st.DrawFn, bases: list[Any], keys: st.SearchStrategy[str], fitting: Fitting) -> Any:
    """One of some data with a few values exchanged, taken out, put in, moved or named anew."""
    data = copy.deepcopy(draw(st.sampled_from(bases)))
    for _ in range(draw(st.integers(1, 4))):
        known = list(ways(data))
        if not known:
            break
        way = draw(st.sampled_from(known))
        node, step = at(data, way[:-1]), way[-1]
        how = draw(st.sampled_from(["fit", "fit", "fit", "any", "out", "in", "move", "rename", "wrap"]))
        if how == "fit":
            node[step] = draw(fitting(next((str(s) for s in reversed(way) if isinstance(s, str)), "")))
        elif how == "any":
            node[step] = draw(anything())
        elif how == "out":
            del node[step]
        elif how == "in":
            table = node[step] if isinstance(node[step], dict) else node
            key = draw(st.one_of(keys, WORDS))
            if isinstance(table, dict):
                table[key] = draw(st.one_of(fitting(key), anything()))
            else:
                table.append(draw(anything()))
        elif how == "move":
            node[step] = copy.deepcopy(at(data, draw(st.sampled_from(known))))
        elif how == "rename" and isinstance(node, dict):
            node[draw(st.one_of(keys, WORDS))] = node.pop(step)
        elif how == "wrap":
            node[step] = [node[step]] if draw(st.booleans()) else {draw(keys): node[step]}
    return data


def toml(data: dict[str, Any]) -> str:
    """A table as TOML: plain keys first, then tables under headers, what is deeper inline."""
    plain, tables = [], []
    for key, value in data.items():
        if isinstance(value, dict):
            inner = {k: v for k, v in value.items() if isinstance(v, dict)}
            tables.append(f"[{_text(key)}]")
            tables += [f"{_text(k)} = {_value(v)}" for k, v in value.items() if k not in inner]
            for name, table in inner.items():
                tables.append(f"[{_text(key)}.{_text(name)}]")
                tables += [f"{_text(k)} = {_value(v)}" for k, v in table.items()]
        else:
            plain.append(f"{_text(key)} = {_value(value)}")
    return "\n".join([*plain, *tables]) + "\n"


def _text(text: str) -> str:
    bare = text.replace("_", "").replace("-", "")
    return text if bare.isascii() and bare.isalnum() else json.dumps(text).replace("\x7f", "\\u007f")


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_text(k)} = {_value(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


@st.composite
def damaged(draw: st.DrawFn, texts: st.SearchStrategy[str]) -> bytes:
    """A text as bytes, now and then with a line, a letter or a byte that is not as it was."""
    text = draw(texts)
    for _ in range(draw(st.sampled_from([0, 0, 0, 1, 2]))):
        lines = text.split("\n")
        line = draw(st.integers(0, len(lines) - 1))
        how = draw(st.sampled_from(["out", "twice", "cut", "letter", "turn"]))
        if how == "out":
            del lines[line]
        elif how == "twice":
            lines.insert(line, lines[line])
        elif how == "cut":
            lines[line] = lines[line][: draw(st.integers(0, len(lines[line])))]
        elif how == "letter":
            place = draw(st.integers(0, len(lines[line])))
            lines[line] = (
                lines[line][:place]
                + draw(st.sampled_from([*"[]{}\"'=.,;#\\\r\0-+", "'''", '"""', "\ufeff"]))
                + lines[line][place:]
            )
        else:
            lines[line] = lines[line][::-1]
        text = "\n".join(lines)
    raw = text.encode("utf-8", "surrogatepass")
    if draw(st.integers(0, 15)) == 7:
        place = draw(st.integers(0, len(raw)))
        raw = raw[:place] + draw(st.binary(max_size=4)) + raw[place:]
    return raw


MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
TYPES = "application/vnd.openxmlformats-officedocument.spreadsheetml"
RELATIONS = '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'


def workbook(
    path: Path, sheets: dict[str, str], styles: str = "", shared: str = "", damage: dict[str, bytes] | None = None
) -> None:
    """A workbook of sheets given as the XML of their rows; ``damage`` is what stands in place of a part of it."""
    of_sheets = "".join(f'<sheet name="{name}" sheetId="{i}" r:id="r{i}"/>' for i, name in enumerate(sheets, 1))
    linked = "".join(
        f'<Relationship Id="r{i}" Type="{OFFICE}/worksheet" Target="worksheets/sheet{i}.xml"/>'
        for i in range(1, len(sheets) + 1)
    )
    linked += f'<Relationship Id="s" Type="{OFFICE}/styles" Target="styles.xml"/>'
    linked += f'<Relationship Id="t" Type="{OFFICE}/sharedStrings" Target="sharedStrings.xml"/>'
    files = {
        "[Content_Types].xml": '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
        f'<Override PartName="/xl/workbook.xml" ContentType="{TYPES}.sheet.main+xml"/></Types>',
        "_rels/.rels": f'{RELATIONS}<Relationship Id="r1" Type="{OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook {MAIN} xmlns:r="{OFFICE}"><sheets>{of_sheets}</sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f"{RELATIONS}{linked}</Relationships>",
        "xl/styles.xml": f"<styleSheet {MAIN}>{styles}</styleSheet>",
        "xl/sharedStrings.xml": f"<sst {MAIN}>{shared}</sst>",
    }
    files |= {
        f"xl/worksheets/sheet{i}.xml": f"<worksheet {MAIN}>{rows}</worksheet>"
        for i, rows in enumerate(sheets.values(), 1)
    }
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name, text in files.items():
            made.writestr(name, (damage or {}).get(name, text.encode("utf-8", "replace")))
