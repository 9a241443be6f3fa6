"""Reading parts from CSV: what is read, and the one sentence for each thing that cannot be."""

from collections.abc import Callable
from pathlib import Path

import pytest

from partcheck.errors import PartsError
from partcheck.parameters import KINDS, Table
from partcheck.parts import read_parts
from partcheck.parts.cells import Refused, read, with_point
from partcheck.parts.checks import build, columns
from partcheck.parts.part import Part
from partcheck.parts.problems import BadPart
from partcheck.parts.read import collect_parts
from partcheck.units import show

Write = Callable[..., Path]
MOSFET = "part_number,maker,polarity,vds_max,vgs_th_min,vgs_th_max\nM1,Acme,N,60 V,1 V,2.5 V\n"
RDS_ON = "part_number,maker,vgs,id,typ,max\nM1,Acme,10,4 A,,28 mΩ\nM1,Acme,4.5 V,4 A,35 mΩ,45 mΩ\n"


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Write files into the folder, and hand back the folder or the one file."""

    def _write(text: str | bytes | None = None, name: str = "mosfet.csv", **sheets: str) -> Path:
        if text is not None:
            raw = text if isinstance(text, bytes) else text.encode()
            (tmp_path / name).write_bytes(raw)
        for stem, sheet in sheets.items():
            (tmp_path / (stem.replace("__", ".") + ".csv")).write_text(sheet, encoding="utf-8")
        return tmp_path / name if text is not None else tmp_path

    return _write


def details(path: Path) -> tuple[str, ...]:
    with pytest.raises(PartsError) as caught:
        read_parts(path)
    assert "\n" not in str(caught.value)
    return caught.value.details


def only(path: Path) -> str:
    found = details(path)
    assert len(found) == 1, found
    return found[0]


def sentence(path: Path) -> str:
    with pytest.raises(PartsError) as caught:
        read_parts(path)
    assert "\n" not in str(caught.value)
    return str(caught.value)


# --- what is read ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("header", "cell"),
    [
        ("vgs_max", "±20 V"), ("vgs_max", "± 20"), ("vgs_max", "+/-20 V"), ("vgs_max", "+/\u221220 V"),
        ("vgs_max", "+ / - 20 V"), ("vgs_max [V]", "±20"), ("vgs_max [mV]", "±20000"), ("vgs_max [mV]", "+/- 20e3"),
    ],
)  # fmt: skip
def test_a_magnitude_may_be_written_with_both_signs(write: Write, header: str, cell: str) -> None:
    (made,) = read_parts(write(f"part_number,maker,{header}\nM1,Acme,{cell}\n"))
    assert made.number("vgs_max") == 20.0


def test_a_magnitude_may_have_a_decimal_comma(write: Write) -> None:
    assert read(with_point("±20,5 V"), columns("mosfet")["vgs_max"]) == 20.5


@pytest.mark.parametrize("cell", ["20 V ±5 %", "±-20 V", "±±20 V", "±", "-20 V", "+20/-10 V", "±20 Ω", "±200 V"])
def test_anything_else_with_a_sign_is_no_magnitude(write: Write, cell: str) -> None:
    assert "vgs_max" in only(write(f"part_number,maker,vgs_max\nM1,Acme,{cell}\n"))


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_no_other_value_may_have_both_signs(kind: str) -> None:
    declared = {**columns(kind), **{t.name: t for t in KINDS[kind].tables}}
    declared |= {f"{t.name}.{axis.name}": axis for t in KINDS[kind].tables for axis in t.axes}
    for name, each in declared.items():
        if name == "vgs_max" or (not isinstance(each, Table) and each.is_text):
            continue
        high = show(each.high, each.unit)
        assert read(high, each) == pytest.approx(each.high), name
        for sign in ("±", "+/-"):
            with pytest.raises(Refused):
                read(f"{sign}{high}", each)


def test_a_folder_of_sheets_is_read_with_points_and_sources(write: Write) -> None:
    sources = (
        "kind,part_number,maker,parameter,document,page,measured\n"
        "mosfet,M1,acme,vds_max,DS-1,3,\nmosfet,M1,Acme,rds_on,,,5\n"
    )
    folder = write(mosfet=MOSFET, mosfet__rds_on=RDS_ON, provenance=sources, led="part_number,maker\nL1,Acme\n")
    led, part = read_parts(folder)
    assert (led.kind, led.name) == ("led", "L1 (Acme)")
    assert (part.kind, part.part_number, part.maker) == ("mosfet", "M1", "Acme")
    assert part.values == {"polarity": "N", "vds_max": 60.0, "vgs_th_min": 1.0, "vgs_th_max": 2.5}
    points = part.table("rds_on").columns
    assert (points["vgs"], points["max"], points["id"]) == ((4.5, 10.0), (0.045, 0.028), (4.0, 4.0))
    assert points["typ"][0] == 0.035
    assert points["typ"][1] != points["typ"][1]
    assert part.source("vds_max") == "DS-1, p. 3"
    assert part.source("rds_on") == "measured on the bench, n = 5"


def test_a_single_sheet_brings_the_points_of_its_own_stem_and_no_others(write: Write) -> None:
    other = MOSFET.replace("M1", "M2")
    write(mosfet=MOSFET, mosfet__rds_on=RDS_ON, mosfet__spares=other, led="part_number,maker\nL1,Acme\n")
    folder = write(mosfet__spares__rds_on=RDS_ON.replace("M1", "M2"))
    (part,) = read_parts(folder / "mosfet.csv")
    assert (part.part_number, len(part.table("rds_on"))) == ("M1", 2)
    (spare,) = read_parts(folder / "mosfet.spares.csv")
    assert (spare.part_number, len(spare.table("rds_on"))) == ("M2", 2)
    assert [p.part_number for p in read_parts(folder)] == ["L1", "M1", "M2"]


def test_a_source_for_a_part_elsewhere_is_no_matter_when_one_sheet_is_read(write: Write) -> None:
    sources = "kind,part_number,maker,parameter,document\nmosfet,M1,Acme,*,DS-1\nled,L9,Acme,*,DS-9\n"
    folder = write(mosfet=MOSFET, provenance=sources)
    (part,) = read_parts(folder / "mosfet.csv")
    assert part.source("vds_max") == "DS-1"
    assert "L9" in only(folder)


def test_a_column_kind_counts_more_than_the_file_name(write: Write) -> None:
    sheet = "kind,part_number,maker,vds_max,colour\nmosfet,M1,Acme,60,\nLED,L1,Acme,,red\n"
    write(sheet, "drawer.csv", drawer__vf="part_number,maker,i_f,typ\nL1,Acme,20 mA,2 V\n")
    parts = read_parts(write() / "drawer.csv")
    assert [(p.kind, p.part_number) for p in parts] == [("mosfet", "M1"), ("led", "L1")]
    assert parts[1].table("vf").columns["typ"] == (2.0,)


@pytest.mark.parametrize(
    "text",
    [
        "\ufeffpart_number,maker,vds_max\nM1,Acme,60 V\n",
        "part_number;maker;vds_max\r\nM1;Acme;60 V\r\n",
        "part_number\tmaker\tvds_max\nM1\tAcme\t60 V\n",
        " Part_Number ,MAKER,vds_max [V],\n,,,\n\nM1, Acme ,60,\n",
        'part_number,maker,vds_max [mV]\n"M1",Acme,60e3\n',
        "part_number,maker,vds_max [mV]\nM1,Acme,60 V\n",
        "part_number,maker,vds_max,eas\nM1,Acme,60 V\n",
        "\n;;\npart_number;maker;vds_max\nM1;Acme;60 V\n",
        "Our parts, drawer 3\n\npart_number;maker;vds_max\nM1;Acme;60 V\n",
        'Our parts;drawer 3\n"Part no.","Maker","VDS max (V)"\n"M1","Acme",60\n',
    ],
)
def test_one_part_in_many_spellings_of_a_sheet(write: Write, text: str) -> None:
    (part,) = read_parts(write(text))
    assert (part.part_number, part.maker, part.values) == ("M1", "Acme", {"vds_max": 60.0})


def test_a_unit_in_a_header_holds_for_bare_numbers_where_none_may_stand_bare(write: Write) -> None:
    (part,) = read_parts(write("part_number,maker,pitch [mm],t_max\nT1,Acme,5.08,105\n", "terminal.csv"))
    assert part.values == {"pitch": 0.00508, "t_max": 378.15}


def test_words_are_read_in_any_case_and_texts_on_one_line(write: Write) -> None:
    text = 'part_number,maker,polarity,notes\nM1,Acme,n,"two\n lines, grün"\n'
    (part,) = read_parts(write(text))
    assert part.values == {"polarity": "N", "notes": "two lines, grün"}


def test_hidden_and_open_files_are_left_alone(write: Write) -> None:
    folder = write(mosfet=MOSFET)
    (folder / ".mosfet.csv").write_text("x")
    (folder / "~$led.csv").write_text("x")
    (folder / "README.md").write_text("x")
    assert len(read_parts(folder)) == 1


# --- bad cells -------------------------------------------------------------------------------------

BAD = [
    ("vds_max", '"1,5 V"', "'1,5 V' is not a voltage in V: a comma is not a decimal point; write 1.5 V"),
    ("vds_max", '"1,5 V"', "write 1.5 V, or read the sheets with --decimal comma"),
    ("price", '"0,025"', "a comma is not a decimal point; write 0.025, or read the sheets with --decimal comma"),
    ("price", '"1,500.5"', "may have a thousands separator; write 1500.5"),
    ("vds_max", "60 A", "belongs to a current; write for example 12 V"),
    ("vds_max", "nan", "not a finite number"),
    ("vds_max", "inf", "not a finite number"),
    ("vds_max", "-60 V", "'-60 V' is outside 5 V..2 kV; did you mean 60 V?"),
    ("vds_max", "60 kV", "'60 kV' is outside 5 V..2 kV; did you mean 60 V?"),
    ("vds_max", "n/a", "leave it empty if the datasheet does not state it"),
    ("vds_max", "1_000", "thousands separator; write 1000"),
    ("rg_int_max", "470M", "did you mean 470 mΩ?"),
    ("vgs_th_tempco", "5 mV/K", "did you mean -5 mV/K?"),
    ("eas_start", "500", "is outside 0 °C..200 °C"),
    ("polarity", "NPN", "is not one of N, P"),
    ("status", "obsolet", "did you mean obsolete?"),
    ("notes", "\u200bx", "invisible"),
    ("price", "-1", "is outside 0..100000; did you mean 1?"),
]


@pytest.mark.parametrize(("column", "cell", "expected"), BAD)
def test_a_bad_cell_is_refused_by_place_with_a_suggestion(write: Write, column: str, cell: str, expected: str) -> None:
    told = only(write(f"part_number,maker,{column}\nM0,Acme,\nM1,Acme,{cell}\n"))
    assert told.startswith(f"mosfet.csv row 3, column {column}: ")
    assert expected in told


NUMBERS = [
    (kind.name, column, parameter.unit, value)
    for kind in KINDS.values()
    for column, parameter in kind.columns().items()
    if not parameter.is_text
    for value in (
        parameter.high * 1.01 if parameter.high else 0.001,
        parameter.low - 1e-3 * (parameter.high - parameter.low),
    )
]


@pytest.mark.parametrize(("kind", "column", "unit", "value"), NUMBERS)
def test_every_declared_number_is_held_to_its_range(kind: str, column: str, unit: str, value: float) -> None:
    cell = f"{value!r} {'K' if unit == '°C' else unit}".strip()
    with pytest.raises(BadPart) as caught:
        build(kind, {"part_number": "X", "maker": "Acme", column: cell})
    (problem,) = caught.value.problems
    low, high = KINDS[kind].columns()[column].low, KINDS[kind].columns()[column].high
    assert problem.column == column
    assert f"is outside {show(low, unit)}..{show(high, unit)}" in problem.reason


def test_all_problems_are_collected_and_counted(write: Write) -> None:
    write(mosfet="part_number,maker,vds_max,vgs_max\nM1,Acme,x1,y1\n,Acme,60,\n")
    write(led="part_number,maker,colour\nL1,A,pink\n")
    folder = write(mosfet__rds_on="part_number,maker,vgs,max\nM1,Acme,4.5 V,one\n")
    with pytest.raises(PartsError, match=r"^5 cells are bad in 3 files; correct .* first led.csv row 2") as caught:
        read_parts(folder)
    places = sorted(detail.split(": ")[0] for detail in caught.value.details)
    assert places == [
        "led.csv row 2, column colour",
        "mosfet.csv row 2, column vds_max",
        "mosfet.csv row 2, column vgs_max",
        "mosfet.csv row 3, column part_number",
        "mosfet.rds_on.csv row 2, column max",
    ]


def test_min_typ_max_must_rise(write: Write) -> None:
    told = only(write("part_number,maker,vgs_th_min,vgs_th_max\nM1,Acme,3 V,2 V\n"))
    assert "column vgs_th_min: '3 V' is above vgs_th_max, which is 2 V" in told
    points = "part_number,maker,vgs,typ,max\nM1,Acme,10,50 mΩ,45 mΩ\n"
    told = only(write(mosfet=MOSFET, mosfet__rds_on=points))
    assert told.startswith("mosfet.rds_on.csv row 2, column typ: '50 mΩ' is above max")


@pytest.mark.parametrize(("threshold", "stands"), [("4.6 V", False), ("4.5 V", True)])
def test_a_threshold_above_every_gate_voltage_of_rds_on_is_refused(write: Write, threshold: str, stands: bool) -> None:
    points = "part_number,maker,vgs,max\nM1,Acme,2.5 V,1\nM1,Acme,4.5 V,0.5\n"
    folder = write(mosfet=f"part_number,maker,vgs_th_max\nM1,Acme,{threshold}\n", mosfet__rds_on=points)
    if stands:
        assert len(read_parts(folder)) == 1
    else:
        told = only(folder)
        assert "column vgs_th_max" in told
        assert "at most 4.5 V" in told


HEADERS = [
    ("vdsmaks", "mosfet.csv row 1, column vdsmaks: it is not a column of a MOSFET; did you mean vds_max?"),
    ("vgs_th", "write vgs_th_min or vgs_th_typ or vgs_th_max"),
    ("rds_on", "a table of a MOSFET, not a single value; state it in rows of vgs, id, typ, max in mosfet.rds_on.csv"),
    ("vds_max [A]", "has the unit 'A', which does not suit it; use one of V"),
    ("polarity [V]", "leave the brackets out"),
    ("vds_max [V] [V]", "is not a header"),
    ("Maker", "column maker: it is in the header twice"),
]


@pytest.mark.parametrize(("header", "expected"), HEADERS)
def test_a_bad_header_is_told_once(write: Write, header: str, expected: str) -> None:
    assert expected in only(write(f"part_number,maker,{header}\nM1,Acme,\nM2,Acme,\n"))


def test_identity_must_be_there(write: Write) -> None:
    assert "column maker: it is missing from the header" in only(write("part_number,vds_max\nM1,60\n"))
    assert "row 3, column maker: it is missing" in only(write("part_number,maker,eas\nM1,Acme,\nM2,,\n"))


def test_a_part_may_stand_once_per_kind(write: Write) -> None:
    told = only(write("part_number,maker\nM1,Acme\nM2,Acme\nM1,ACME\n"))
    assert told == (
        "mosfet.csv row 4, column part_number: 'M1' of ACME is already in mosfet.csv row 2; keep one of the two"
    )
    folder = write("part_number,maker\nM1,Acme\nM1,Other\n", mosfet__more="part_number,maker\nM1,acme\n")
    assert "already in mosfet.csv row 2" in only(folder.parent)
    write("part_number,maker\nM1,Acme\n", diode="part_number,maker\nM1,Acme\n", mosfet__more="part_number,maker\n")
    assert len(read_parts(folder.parent)) == 2


POINTS = [
    ("M9,Acme,10,,,1\n", "column part_number: 'M9' of Acme is not a part in mosfet.csv"),
    ("M1,Other,10,,,1\n", "'M1' of Other is not a part in mosfet.csv; there its maker is Acme"),
    ("M11,Acme,10,,,1\n", "'M11' of Acme is not a part in mosfet.csv; did you mean M1?"),
    ("M1,Acme,,4,,1\n", "column vgs: it is missing; a row of rds_on holds at one vgs"),
    ("M1,Acme,10,4,,\n", "column typ or max: it is missing"),
    ("M1,Acme,10,4,,1\nM1,acme,10 V,4,1,\n", "row 3, column vgs and id: it is the same as in an earlier row"),
    ("M1,Acme,10,,,1\nM1,acme,10 V,,1,\n", "row 3, column vgs and id: it is the same as in an earlier row"),
    ("M1,Acme,99,4,,1\n", "column vgs: '99' is outside 500 mV..40 V"),
    ("M1,Acme,10,4,,1,extra\n", "column 7: 'extra' has no name above it"),
]


@pytest.mark.parametrize(("rows", "expected"), POINTS)
def test_a_bad_point_is_told_by_its_row(write: Write, rows: str, expected: str) -> None:
    told = only(write(mosfet=MOSFET, mosfet__rds_on=f"part_number,maker,vgs,id,typ,max\n{rows}"))
    assert told.startswith("mosfet.rds_on.csv row ")
    assert expected in told


def test_points_need_a_sheet_of_parts_and_known_columns(write: Write) -> None:
    folder = write(mosfet__rds_on=RDS_ON)
    assert only(folder).startswith("mosfet.rds_on.csv: it has no sheet mosfet.csv beside it")
    write(mosfet=MOSFET, mosfet__rds_on="part_number,maker,vgss,vgs,max\nM1,Acme,1,10,1\n")
    assert "column vgss: it is not a column of rds_on; did you mean vgs?" in only(folder)
    assert "name mosfet.csv" in sentence(folder / "mosfet.rds_on.csv")


def test_kinds_must_be_known(write: Write) -> None:
    told = only(write("part_number,maker\nM1,Acme\n", "mosfets.csv"))
    assert told == "mosfets.csv: it is named after 'mosfets', which is not a kind of part; did you mean mosfet?"
    told = only(write("kind,part_number,maker\nmosfett,M1,Acme\n", "x.csv"))
    assert "x.csv row 2, column kind: 'mosfett' is not a kind of part; did you mean mosfet?" in told


def test_the_same_part_number_in_two_kinds_needs_a_kind_with_its_points(write: Write) -> None:
    write("kind,part_number,maker\nled,X1,A\ndiode,X1,A\n", "box.csv")
    write(box__vf="part_number,maker,i_f,max\nX1,A,1 A,1\n")
    assert "column kind: it is missing, and more than one kind has this part" in only(write() / "box.csv")
    write(box__vf="part_number,maker,kind,i_f,max\nX1,A,diode,1 A,1\n")
    led, diode = read_parts(write() / "box.csv")
    assert (len(led.table("vf")), len(diode.table("vf"))) == (0, 1)


SOURCES = [
    ("M1,Acme,vds_mx,DS,", "column parameter: 'vds_mx' is not something that a mosfet states; did you mean vds_max?"),
    ("M1,Acme,*,DS,many", "column measured: 'many' is not a number of pieces"),
    ("M2,Acme,*,DS,", "'M2' of Acme is not a part in any sheet here"),
]


@pytest.mark.parametrize(("row", "expected"), SOURCES)
def test_a_bad_source_is_told(write: Write, row: str, expected: str) -> None:
    told = only(write(mosfet=MOSFET, provenance=f"part_number,maker,parameter,document,measured\n{row}\n"))
    assert told.startswith("provenance.csv row 2")
    assert expected in told


def test_a_reading_in_part_leaves_out_every_part_that_has_a_bad_cell(write: Write) -> None:
    rows = "".join(f"M{i},Acme,{60 if i != 2 else 'x'}\n" for i in range(1, 6))
    points = "part_number,maker,vgs,max\nM1,Acme,10,1\nM3,Acme,10,no\n"
    sources = "part_number,maker,parameter,measured\nM4,Acme,*,no\nM5,Acme,*,3\n"
    folder = write(mosfet="part_number,maker,vds_max\n" + rows, mosfet__rds_on=points, provenance=sources)
    good, bad = collect_parts(folder)
    assert [part.part_number for part in good] == ["M1", "M5"]
    assert [(cell.file, cell.row, cell.column, cell.text) for cell in bad] == [
        ("mosfet.csv", 3, "vds_max", "x"),
        ("mosfet.rds_on.csv", 3, "max", "no"),
        ("provenance.csv", 2, "measured", "no"),
    ]


def test_build_reads_one_part_and_names_every_problem() -> None:
    part = build("led", {"part_number": "L1", "maker": "Acme"}, {"vf": [{"i_f": "20 mA", "typ": 2.0}]})
    assert isinstance(part, Part)
    assert part.table("vf").columns["typ"] == (2.0,)
    with pytest.raises(BadPart, match=r"^L1 has 2 bad values; correct them .* first maker: it is missing") as caught:
        build("led", {"part_number": "L1"}, {"vf": [{"i_f": "20 mA", "typ": "2 A"}]})
    assert [(p.column, p.table, p.row) for p in caught.value.problems] == [("maker", "", 0), ("typ", "vf", 0)]
