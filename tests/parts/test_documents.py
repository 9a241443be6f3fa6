"""Parts as JSON and inline in a board file, and the schema of that JSON."""

import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from partcheck.errors import PartsError
from partcheck.parameters import KINDS
from partcheck.parts import Provenance, read_parts
from partcheck.parts.documents import from_record, to_document, to_record
from partcheck.parts.problems import BadPart
from partcheck.parts.schema import parts_schema

Write = Callable[[str], Path]
M1: dict[str, Any] = {
    "kind": "mosfet",
    "part_number": "M1",
    "maker": "Acme",
    "vds_max": "60 V",
    "tj_max": 150,
    "vgs_th": {"min": "1 V", "max": 2.5},
    "qg_max": "45 nC",
    "notes": None,
    "rds_on": [
        {"vgs": "10 V", "id": "4 A", "max": "28 mΩ"},
        {"vgs": 4.5, "typ": 0.035, "max": "45 mΩ"},
    ],
    "theta_ja": [{"copper_area": "100 mm²", "mounting": "single-layer", "max": 62}],
    "provenance": {"vds_max": {"document": "DS-1", "page": "3"}, "*": {"measured": 5, "entered_by": "Jo"}},
}
SCHEMA = jsonschema.Draft202012Validator(parts_schema())


@pytest.fixture
def write(tmp_path: Path) -> Write:
    def _write(text: str) -> Path:
        path = tmp_path / "parts.json"
        path.write_text(text, encoding="utf-8")
        return path

    return _write


def bad(**keys: Any) -> str:
    """The one sentence on a mosfet with these keys."""
    with pytest.raises(BadPart) as caught:
        from_record({"kind": "mosfet", "part_number": "M1", "maker": "Acme", **keys}, "board.toml, part M1")
    assert len(caught.value.details) == 1, caught.value.details
    assert caught.value.details[0] == str(caught.value)
    return str(caught.value)


def refusal(path: Path) -> PartsError:
    with pytest.raises(PartsError) as caught:
        read_parts(path)
    assert "\n" not in str(caught.value)
    return caught.value


def test_a_document_is_read(write: Write) -> None:
    (part,) = read_parts(write(json.dumps({"format": 1, "parts": [M1]})))
    assert part.name == "M1 (Acme)"
    assert part.values == {
        "vds_max": 60.0,
        "tj_max": 423.15,
        "vgs_th_min": 1.0,
        "vgs_th_max": 2.5,
        "qg_max": 45e-9,
    }
    assert part.table("rds_on").columns["max"] == (0.045, 0.028)
    assert part.table("theta_ja").columns == {"copper_area": (1e-4,), "mounting": (2.0,), "max": (62.0,)}
    assert part.provenance == {
        "vds_max": Provenance(document="DS-1", page="3"),
        "*": Provenance(measured=5, entered_by="Jo"),
    }


def test_a_bare_list_with_a_byte_order_mark_is_read(write: Write) -> None:
    parts = read_parts(write("\ufeff" + json.dumps([M1, M1 | {"part_number": "M2"}])))
    assert [part.part_number for part in parts] == ["M1", "M2"]
    assert read_parts(write("[]")) == []


def test_a_record_of_a_board_file_is_the_same(write: Write) -> None:
    text = """
    kind = "mosfet"
    part_number = "M1"
    maker = "Acme"
    vds_max = "60 V"
    vgs_th.max = "2.5 V"
    rds_on = [{ vgs = "4.5 V", max = "45 mΩ" }]
    provenance = { rds_on = { document = "DS-1", entered_on = 2024-05-31 } }
    """
    part = from_record(tomllib.loads(text), "board.toml")
    assert part.values == {"vds_max": 60.0, "vgs_th_max": 2.5}
    assert part.source("rds_on") == "DS-1, entered 2024-05-31"


def test_a_number_is_si_even_where_a_text_must_carry_its_unit() -> None:
    record = {"kind": "terminal", "part_number": "T1", "maker": "Acme", "pitch": 0.005, "t_max": 105}
    assert from_record(record, "x").values == {"pitch": 0.005, "t_max": 378.15}
    with pytest.raises(PartsError, match="a number alone does not say its unit"):
        from_record(record | {"pitch": "5"}, "x")
    with pytest.raises(PartsError, match="neither a text nor a number"):
        from_record(record | {"pitch": True}, "x")


def test_there_is_only_one_zero() -> None:
    record = {"kind": "led", "part_number": "L1", "maker": "Acme", "price": -0.0}
    assert repr(from_record(record, "x").values["price"]) == "0.0"


BAD: list[tuple[dict[str, Any], str]] = [
    ({"vds_max": "1,5 V"}, "board.toml, part M1, vds_max: '1,5 V' is not a voltage in V: a comma is not"),
    ({"vds_max": True}, "vds_max: 'True' is not a voltage in V: it is neither a text nor a number"),
    ({"vds_max": float("nan")}, "it is not a finite number"),
    ({"vds_max": 10**400}, "it is not a finite number"),
    ({"vds_max": {"max": 60}}, "is not a single value"),
    ({"vds_max": [60]}, "is not a single value"),
    ({"vds_mx": 60}, "vds_mx: it is not a column of a MOSFET; did you mean vds_max?"),
    ({"vgs_th": 2}, "vgs_th: it is not a column of a MOSFET; write vgs_th_min or vgs_th_typ or vgs_th_max"),
    ({"vgs_th": {"maximum": 2}}, "vgs_th.maximum: it is not a bound of vgs_th; it has min and typ and max"),
    ({"vgs_th": {"max": 2}, "vgs_th_max": 2}, "is stated twice; keep one of vgs_th_max and vgs_th { max }"),
    ({"vgs_th": {"min": 3, "max": 2}}, "vgs_th_min: '3 V' is above vgs_th_max"),
    ({"notes": 5}, "is not text; write it in quotes"),
    ({"rds_on": {"vgs": 10, "max": 1}}, "rds_on: \"{'vgs': 10, 'max': 1}\" is not a list of rows"),
    ({"rds_on": "28 mΩ"}, "is not a list of rows; write [ ] around rows of vgs, id, typ, max in { }"),
    ({"rds_on": [{"vgs": 10, "max": "45 kΩ"}]}, "rds_on row 1, max: '45 kΩ' is outside 100 µΩ..20 Ω; did you mean"),
    ({"rds_on": [{"vgs": 10, "max": 1}, {"vgs": 10.0, "max": 1}]}, "rds_on row 2, vgs and id: it is the same"),
    ({"provenance": "DS-1"}, "provenance: 'DS-1' is not a set of sources"),
    ({"provenance": {"vds": {}}}, "provenance vds: 'vds' is not something that a mosfet states; did you mean"),
    ({"provenance": {"*": {"doc": "x"}}}, "provenance *, doc: it is not part of a source; write one of document"),
    ({"provenance": {"*": {"measured": 0}}}, "measured: '0' is not a number of pieces measured"),
    ({"kind": "mosfett"}, "kind: 'mosfett' is not a kind of part; did you mean mosfet?"),
    ({"kind": None}, "kind: it is missing; write one of mosfet, "),
    ({"maker": " "}, "maker: it is missing"),
]


@pytest.mark.parametrize(("keys", "expected"), BAD)
def test_a_bad_value_is_refused_by_its_key(keys: dict[str, Any], expected: str) -> None:
    assert expected in bad(**keys)


def test_all_bad_values_of_a_document_are_listed(write: Write) -> None:
    worse = M1 | {"part_number": "M2", "vds_max": "x", "rds_on": [{"vgs": 10, "max": "y"}]}
    slip = refusal(write(json.dumps([M1, worse, 5, M1 | {"maker": "ACME"}])))
    assert str(slip).startswith("4 cells are bad in 1 file; correct what is listed and read again, first parts.json")
    assert [detail.partition(": ")[0] for detail in slip.details] == [
        "parts.json part 2, vds_max",
        "parts.json part 2, rds_on row 1, max",
        "parts.json part 3, part",
        "parts.json part 4, part_number",
    ]
    assert slip.details[-1].endswith("'M1' of ACME is already in parts.json part 1; keep one of the two")


def test_a_part_in_a_sheet_and_in_json_beside_it_is_one_too_many(write: Write) -> None:
    path = write(json.dumps([M1]))
    (path.parent / "mosfet.csv").write_text("part_number,maker\nM1,Acme\nM2,Acme\n")
    assert "is already in mosfet.csv row 2" in refusal(path.parent).details[0]


TEXTS = [
    ("{", "is not JSON: expecting property name enclosed in double quotes at line 1, column 2"),
    ("[1,]", "is not JSON"),
    ('{"parts": []}', 'write "format": 1'),
    ('{"format": 2, "parts": []}', 'write "format": 1'),
    ('{"format": true, "parts": []}', 'write "format": 1'),
    ('{"format": 1, "part": []}', "holds no parts"),
    ('{"format": 1, "parts": [], "unit": 1}', "has the unknown key 'unit'"),
    ("5", "holds no parts"),
    ('[{"kind": "led", "kind": "led"}]', "states the key 'kind' twice"),
    ('[{"kind": "led", "vr_max": NaN}]', "holds NaN"),
    ("[" * 100_000, "nested too deeply"),
    ("[" + "1" * 5000 + "]", "number too long"),
    ("", "is empty"),
]


@pytest.mark.parametrize(("text", "expected"), TEXTS)
def test_a_file_that_is_no_document_is_one_sentence(write: Write, text: str, expected: str) -> None:
    assert expected in str(refusal(write(text)))


def test_what_is_written_reads_to_the_same(write: Write) -> None:
    part = from_record(M1, "x")
    text = to_document([part])
    again = read_parts(write(text))[0]
    assert to_record(again) == to_record(part)
    assert json.loads(text)["parts"][0]["rds_on"][1] == {"vgs": 10.0, "id": 4.0, "max": 0.028}
    assert json.loads(text)["parts"][0]["tj_max"] == 150.0


# --- schema ----------------------------------------------------------------------------------------


def test_the_schema_is_a_schema_and_takes_what_the_reader_takes() -> None:
    jsonschema.Draft202012Validator.check_schema(parts_schema())
    SCHEMA.validate({"format": 1, "parts": [M1]})
    SCHEMA.validate([M1])
    SCHEMA.validate(json.loads(to_document([from_record(M1, "x")])))


WRONG: list[Any] = [
    {"format": 2, "parts": []},
    {"parts": []},
    [M1 | {"kind": "mosfett"}],
    [M1 | {"vds_mx": 60}],
    [M1 | {"vds_max": 1e9}],
    [M1 | {"polarity": "NPN"}],
    [M1 | {"tj_max": 423.15}],
    [M1 | {"rds_on": [{"vgs": 10}]}],
    [M1 | {"rds_on": [{"max": 1}]}],
    [M1 | {"rds_on": 0.028}],
    [M1 | {"vgs_th": {"maximum": 1}}],
    [M1 | {"provenance": {"vds": {}}}],
    [M1 | {"provenance": {"*": {"doc": "x"}}}],
    [{k: v for k, v in M1.items() if k != "maker"}],
]


@pytest.mark.parametrize("document", WRONG)
def test_the_schema_refuses_what_the_reader_refuses(document: Any, write: Write) -> None:
    assert not SCHEMA.is_valid(document)
    refusal(write(json.dumps(document)))


def test_the_schema_says_of_every_key_what_it_is() -> None:
    schema = parts_schema()
    assert schema["$id"] == "urn:partcheck:schema:parts:1"
    for kind in KINDS.values():
        properties = schema["$defs"][kind.name]["properties"]
        stated = {*kind.columns(), *(p.name for p in kind.parameters), *(t.name for t in kind.tables)}
        assert set(properties) == stated | {"kind", "provenance"}
        for name, parameter in kind.columns().items():
            assert parameter.meaning in properties[name]["description"]
            assert parameter.symbol in properties[name]["description"]
            if parameter.unit:
                assert properties[name]["x-unit"] == parameter.unit
        for table in kind.tables:
            row = properties[table.name]["items"]["properties"]
            assert list(row) == list(table.columns())
            assert all(item["description"] and item["title"] for item in row.values())
