"""Boards, parts, sheets, workbooks, policies, mappings and options, nearly as they should be."""

import json
import tomllib
from functools import cache
from typing import Any
from xml.sax.saxutils import escape

from hypothesis import strategies as st

from partcheck.parameters import KINDS, Axis, Parameter, Table
from partcheck.parts import read_parts
from partcheck.parts.documents import to_record
from partcheck.policy import ASSUMED, VALUES
from tests.command import BOARD, SAMPLES
from tests.every_key import FILE
from tests.fuzz.tables import changed, damaged, toml
from tests.fuzz.words import UNITS, WORDS, anything, fitting, keys, unit_texts, within

KEPT = {
    "surroundings": (),
    "limits": (),
    "ground": (),
    "rail": ("V12", "V5"),
    "chip": ("U2",),
    "drive": ("VALVE1",),
    "load": ("FV1",),
    "role": ("Q1", "D1", "D11", "U1"),
}
"""What of the sample board makes a small one: a valve, its switch, clamp and indicator, and the logic's supply."""


@cache
def _sample() -> dict[str, Any]:
    return tomllib.loads(BOARD.read_text(encoding="utf-8"))


@cache
def valve() -> dict[str, Any]:
    """A small board, which is judged in a moment."""
    kept = {name: _sample()[name] for name in ("format", "name", "policy", "series")}
    for table, names in KEPT.items():
        kept[table] = {name: _sample()[table][name] for name in names} if names else _sample()[table]
    return kept


@cache
def _records() -> dict[str, list[dict[str, Any]]]:
    found: dict[str, list[dict[str, Any]]] = {}
    for part in read_parts(SAMPLES):
        found.setdefault(part.kind, []).append(to_record(part))
    return {kind: records[:4] for kind, records in found.items()}


def boards() -> st.SearchStrategy[bytes]:
    """Board files: of all keys, of all sorts of places, and short ones."""
    bases = [tomllib.loads(FILE.read_text(encoding="utf-8")), _sample(), valve(), {"format": 1, "name": "b"}]
    return damaged(changed(bases, keys(), fitting).map(toml))


def small_boards() -> st.SearchStrategy[bytes]:
    """Boards of one valve, most of them fit to be judged: values within their ranges, and the parts that they use."""
    return changed([valve()], keys(), fitting).map(toml).map(str.encode)


def policies() -> st.SearchStrategy[bytes]:
    """Policies of a user."""
    base = {
        "name": "shop",
        "title": "x",
        "base": "bench",
        "source": "own rules",
        "values": dict.fromkeys(VALUES, 0.5),
        "assumed": dict.fromkeys(ASSUMED, 1.0),
    }
    base |= {"values": {"vds": 0.7, "id": "60 %"}, "assumed": {"rds_on_factor": 2.0}}
    known = {**VALUES, **ASSUMED}

    @cache
    def value(name: str) -> st.SearchStrategy[object]:
        if name not in known:
            return anything()
        return st.one_of(within(known[name].low, known[name].high, known[name].unit), anything())

    names = st.sampled_from(sorted([*known, "name", "base", "values", "assumed"]))
    return damaged(changed([base], names, value).map(toml))


MAPPING = {
    "format": 1,
    "decimal": "point",
    "blanks": ["n/a"],
    "sheet": {
        "sheet": {
            "holds": "mosfet",
            "header": 1,
            "columns": {
                "Type": "part_number",
                "Make": "maker",
                "Vds": {"column": "vds_max", "unit": "V"},
                "Rds @4V5": {"column": "rds_on.max", "unit": "mΩ", "vgs": "4.5 V"},
                "Shelf": "nothing",
                "F": "qg_max",
            },
            "constants": {"polarity": "N"},
            "words": {"status": {"aktiv": "active"}},
        }
    },
}
MAPPED = "Type,Make,Vds,Rds @4V5,Shelf,Qg,status\nX1,Acme,60,45,A3,12 nC,aktiv\nX2,Acme,30,n/a,,,aktiv\n"


def mappings() -> st.SearchStrategy[bytes]:
    """Mapping files for :data:`MAPPED`."""
    columns = [column for kind in KINDS.values() for p in kind.parameters for column in p.columns()]
    words = st.sampled_from(
        [*columns, "rds_on.max", "rds_on", "mosfet", "nothing", "?", "condition", "comma", "column C", "C"]
    )
    return damaged(changed([MAPPING], words, lambda _: words).map(toml))


def typed_maps() -> st.SearchStrategy[list[str]]:
    """What may be typed after ``--map``."""
    pieces = [
        "C=vds_max",
        "Vds=vds_max [V]",
        "holds=mosfet",
        "header=1",
        "decimal=comma",
        "sheet!D={ column = 'rds_on.max', vgs = '4 V' }",
        "G={",
        "=x",
        "!=",
        "header=²",
        "header=9999999999999999999999",
    ]
    return st.lists(
        st.one_of(st.sampled_from(pieces), st.tuples(WORDS, st.just("="), unit_texts()).map("".join)), max_size=4
    )


@cache
def _declared() -> dict[str, Parameter | Axis | Table]:
    found: dict[str, Parameter | Axis | Table] = {}
    for kind in KINDS.values():
        for parameter in kind.parameters:
            found |= dict.fromkeys([parameter.name, *parameter.columns()], parameter)
        for table in kind.tables:
            found |= {axis.name: axis for axis in table.axes}
            found |= {table.name: table}
    return found


@cache
@st.composite
def cell(draw: st.DrawFn, name: str) -> Any:
    """A value for a column: in its range, one of its choices, or anything."""
    declared = _declared().get(name)
    if declared is None or draw(st.integers(0, 5)) == 0:
        return draw(anything())
    if getattr(declared, "choices", ()):
        return draw(st.sampled_from(declared.choices))
    return draw(within(declared.low, declared.high, declared.unit))


def parts() -> st.SearchStrategy[bytes]:
    """JSON files of parts."""
    bases: list[Any] = [{"format": 1, "parts": records[:2]} for records in _records().values()]
    bases += [[records[-1]] for records in _records().values()]
    columns = st.sampled_from(sorted({*_declared(), "min", "typ", "max", "provenance", "*"}))
    return damaged(changed(bases, columns, cell).map(lambda data: json.dumps(data, ensure_ascii=False)))


@cache
@st.composite
def rows(draw: st.DrawFn) -> list[list[Any]]:
    """The rows of a sheet: a header and some parts, or rows of a table of theirs."""
    kind = KINDS[draw(st.sampled_from(sorted(KINDS)))]
    names = ["part_number", "maker", *draw(st.lists(st.sampled_from(sorted(_declared())), max_size=6))]
    if kind.tables and draw(st.booleans()):
        table = draw(st.sampled_from(kind.tables))
        names = ["part_number", "maker", *(axis.name for axis in table.axes), *table.bounds]
    heads = [
        name + draw(st.sampled_from(["", "", "", " [V]", " (mΩ)", " max", "_typ", " @ 25 °C", " / A", "\n[nC]"]))
        if draw(st.integers(0, 6)) == 0
        else name
        for name in names
    ]
    made: list[list[Any]] = [["X", "y"]] * draw(st.sampled_from([0, 0, 0, 1, 3])) + [heads]
    for number in range(draw(st.integers(0, 4))):
        row: list[Any] = [draw(st.sampled_from([f"X{number}", "X0", "", "A-1; A-2", "=1+1", "x" * 90])), "Acme"]
        row += [draw(cell(name)) for name in names[2:]]
        made.append(row[: draw(st.sampled_from([99, 99, 99, 1, 3]))] + [""] * draw(st.sampled_from([0, 0, 5, 30])))
    return made


def sheets() -> st.SearchStrategy[bytes]:
    """CSV files."""

    def written(made: tuple[list[list[Any]], str]) -> str:
        lines, comma = made
        quoted = (
            [
                f'"{text.replace(chr(34), chr(34) * 2)}"' if comma in text or "\n" in text else text
                for text in map(str, row)
            ]
            for row in lines
        )
        return "\n".join(comma.join(row) for row in quoted)

    return damaged(st.tuples(rows(), st.sampled_from([",", ";", "\t", "|"])).map(written))


STYLES = (
    '<numFmts><numFmt numFmtId="170" formatCode="{}"/></numFmts><cellXfs><xf numFmtId="0"/><xf numFmtId="170"/>'
    '<xf numFmtId="14"/><xf numFmtId="9"/><xf numFmtId="-7"/></cellXfs>'
)
FORMATS = [
    '0.0" V"',
    "0%",
    "yyyy-mm-dd",
    '0.00,," M"',
    "[Red]0;[Blue]-0",
    '"',
    "\\",
    '0" mΩ";;;@',
    "General",
    "[h]:mm",
    "#,##0.00 [$EUR]",
    "_(* #",
    "0E+00",
]
NAMES = ["mosfet", "sheet", "mosfet.rds_on", "led", "provenance", "x" * 40, "a&amp;b", "", "Ω"]


@st.composite
def _xml_cell(draw: st.DrawFn, at: str, value: Any) -> str:
    sort = draw(st.sampled_from(["inlineStr", "inlineStr", "inlineStr", "n", "b", "e", "s", "d", "str", "nope", ""]))
    text = escape("".join(letter for letter in str(value) if letter.isprintable()))
    style = draw(st.sampled_from(["", "", "", ' s="1"', ' s="2"', ' s="3"', ' s="4"', ' s="99"', ' s="x"']))
    formula = draw(st.sampled_from(["", "", "", "", "<f>1+1</f>", '<f t="shared" si="0"/>']))
    if sort == "inlineStr":
        return f'<c r="{at}" t="inlineStr"{style}><is><t>{text}</t></is></c>'
    number = draw(st.sampled_from([text, "1", "60", "1e400", "-1", "45000.5", "1e20", "", "#N/A", "0", "NaN"]))
    return f'<c r="{at}"{f" t={chr(34)}{sort}{chr(34)}" if sort else ""}{style}>{formula}<v>{number}</v></c>'


@st.composite
def workbooks(draw: st.DrawFn) -> dict[str, Any]:
    """What :func:`tests.fuzz.tables.workbook` makes a workbook of."""
    made: dict[str, str] = {}
    for name in draw(st.lists(st.sampled_from(NAMES), min_size=1, max_size=3, unique=True)):
        lines = []
        for number, row in enumerate(draw(rows()), 1):
            number += draw(st.sampled_from([0, 0, 0, 0, 0, 0, 50, 1_048_000]))
            cells = []
            for place, value in enumerate(row[:30]):
                at = f"{'A' if place > 25 else ''}{chr(65 + place % 26)}{number}"
                cells.append(
                    draw(_xml_cell(draw(st.sampled_from([at] * 20 + ["", "A0", "1", "XFD1", "ZZZZ9"])), value))
                )
            lines.append(f'<row r="{number}">{"".join(cells)}</row>')
        behind = draw(
            st.sampled_from(
                [
                    "",
                    "",
                    '<mergeCells><mergeCell ref="A1:C2"/></mergeCells>',
                    '<mergeCells><mergeCell ref="B2"/><mergeCell ref="C9:A1"/></mergeCells>',
                ]
            )
        )
        made[name] = f"<sheetData>{''.join(lines)}</sheetData>{behind}"
    files = [
        "xl/styles.xml",
        "xl/workbook.xml",
        "_rels/.rels",
        "xl/_rels/workbook.xml.rels",
        "xl/worksheets/sheet1.xml",
        "xl/sharedStrings.xml",
    ]
    damage = (
        draw(st.dictionaries(st.sampled_from(files), st.binary(max_size=20), max_size=1))
        if draw(st.integers(0, 9)) == 3
        else {}
    )
    styles = draw(st.sampled_from(FORMATS))
    return {
        "sheets": made,
        "styles": STYLES.format(escape(styles, {'"': "&quot;"})),
        "damage": damage,
        "shared": draw(st.sampled_from(["", "<si><t>x</t></si>"])),
    }


OPTIONS = ("voltage", "current", "resistance", "inductance", "duty", "frequency", "cable_length", "wire")


def asked() -> st.SearchStrategy[dict[str, Any]]:
    """What may be asked of a load: options, and ``--set`` texts."""
    key = st.one_of(
        keys(),
        st.sampled_from(
            [
                "rail.V12.voltage",
                "load.FV1.cable.length",
                "at_once.0.most",
                "role.Q1.load",
                "part.0",
                "rail..x",
                "role.Q1.load.0",
                "surroundings",
                "load.FV1.measured",
                "rail.V12.feed",
            ]
        ),
    )
    one = st.one_of(
        key.flatmap(lambda k: fitting(k.rpartition(".")[2]).map(lambda v: f"{k}={v}")),
        st.tuples(st.one_of(key, WORDS), st.sampled_from(["=", "", " = "]), st.one_of(unit_texts(), WORDS)).map(
            "".join
        ),
        st.sampled_from(
            [
                "cable={length='1 m'}",
                "load=[]",
                "x=" + "[" * 60,
                "a.b.c=1",
                "resistance={min='1 Ω',max='2 Ω'}",
                "=",
                "rail=V5",
                "sort=lamp",
            ]
        ),
    )
    texts = st.fixed_dictionaries({}, optional=dict.fromkeys(OPTIONS, unit_texts()))
    numbers = st.fixed_dictionaries({}, optional={"count": st.integers(-2, 10**12), "at_once": st.integers(-2, 10**12)})
    return st.tuples(texts, numbers, st.lists(one, max_size=3)).map(
        lambda made: {**made[0], **made[1], "sets": tuple(made[2])}
    )


def units() -> st.SearchStrategy[tuple[Any, str]]:
    """A value and the unit that it should have."""
    raw = st.one_of(unit_texts(), anything(), st.fixed_dictionaries({"min": unit_texts(), "max": unit_texts()}))
    return st.tuples(raw, st.sampled_from(UNITS))


def searches() -> st.SearchStrategy[tuple[str, str]]:
    """A kind of part, and a condition on it."""
    names = st.sampled_from(sorted([*_declared(), "rds_on.max", "rds_on.", "maker", "x"]))
    signs = st.sampled_from([" <= ", " >= ", "=", "!=", "≠", "<", " missing", " stated", " ", " at "])
    one = st.tuples(names, signs, unit_texts()).map("".join)
    text = st.lists(one, min_size=1, max_size=3).map(" at ".join)
    return st.tuples(st.sampled_from(["", *KINDS, "nope"]), st.one_of(text, WORDS))
