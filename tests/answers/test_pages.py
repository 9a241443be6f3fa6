"""HTML pages and Markdown: the same numbers as the JSON, nothing read as markup, nothing asked of the outside."""

import re
import subprocess
import sys
from collections import defaultdict
from collections.abc import Iterator
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from partcheck.report.lines import plain
from partcheck.report.render.markdown import word
from partcheck.roles import ROLES
from tests.command import BOARD, SAMPLES, run
from tests.draws import LONG
from tests.made import HOSTILE, Pages
from tests.pages import ANSWERS, NASTY, TURNED, Made
from tests.serve.conftest import VALVES
from tests.valves import valve_bench

VOID = {"meta", "br", "hr", "img", "input", "link"}


class Reader(HTMLParser):
    """Every element with its attributes and the text in it, and the requirements' rows."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[tuple[str, dict[str, str]]] = []
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.words: list[str] = []
        self.numbers: dict[tuple[str, ...], dict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
        self.feed(text)
        self.close()
        assert not self.open, f"never closed: {self.open}"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self.tags.append((tag, found))
        if tag == "data":
            self._number(float(found["value"]))
        if tag not in VOID:
            self.open.append((tag, found))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open[-1][0] == tag, f"</{tag}> closes {self.open[-1:]}"
        self.open.pop()

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    def _number(self, value: float) -> None:
        kinds = [name for _, attrs in self.open for name in attrs.get("class", "").split()]
        for depth, (_, attrs) in enumerate(self.open):
            keys = {name: attrs[name] for name in attrs if name.startswith("data-")}
            if keys:
                own = {k: v for _, inner in self.open[depth:] for k, v in inner.items() if k.startswith("data-")}
                for kind in kinds[-3:] or [""]:
                    self.numbers[tuple(own.values())][kind].append(value)
                return


def places(value: Any) -> Iterator[dict[str, Any]]:
    """Every place in a record, however deep."""
    if isinstance(value, dict):
        if "requirements" in value and "reference" in value:
            yield value
        for inner in value.values():
            yield from places(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from places(inner)


def main_places(name: str, record: dict[str, Any]) -> list[dict[str, Any]]:
    """The places whose every requirement stands on the page of an answer."""
    return {
        "swap": lambda: [c["place"] for c in record["candidates"]],
        "explain": lambda: [record["place"]],
        "check": lambda: [*record["places"], *record["links"]],
        "vet": lambda: [*record["places"], *record["links"]],
        "leds": lambda: [r["circuit"]["place"] for r in record["ranked"] if r["resistor"] is not None],
    }.get(name.partition("-")[0], list)()


@pytest.mark.parametrize("name", sorted(ANSWERS))
def test_a_page_is_whole_small_and_alone(pages: Pages, name: str) -> None:
    """One file under 1 MB, well nested, without script, link, frame or address of another place."""
    text = pages(name).html
    assert len(text.encode()) < 1_000_000
    page = Reader(text)
    tags = {tag for tag, _ in page.tags}
    assert not tags & {"script", "link", "iframe", "object", "embed", "form", "base", "img", "image", "foreignobject"}
    assert {"main", "header", "footer", "h1", "title"} <= tags
    for tag, attrs in page.tags:
        for key, value in attrs.items():
            assert not key.startswith("on"), (tag, key)
            if key in ("href", "src", "xlink:href", "action", "data", "srcset"):
                assert value.startswith("#"), (tag, key, value)
    style = text[text.index("<style>") : text.index("</style>")]
    assert "@import" not in style and "url(" not in style and "@font-face" not in style
    assert re.search(r"url\((?!#)", text) is None
    policy = next(attrs["content"] for tag, attrs in page.tags if attrs.get("http-equiv") == "Content-Security-Policy")
    assert "default-src 'none'" in policy and "script-src" not in policy
    ids = [attrs["id"] for _, attrs in page.tags if "id" in attrs]
    assert len(ids) == len(set(ids)), "an id stands twice"
    known = set(ids)
    assert all(attrs["href"][1:] in known for _, attrs in page.tags if attrs.get("href", "").startswith("#"))
    assert all(found in known for found in re.findall(r"url\(#([^)]+)\)", text))


@pytest.mark.parametrize("name", sorted(ANSWERS))
def test_headings_go_down_step_by_step(pages: Pages, name: str) -> None:
    levels = [int(tag[1]) for tag, _ in Reader(pages(name).html).tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


@pytest.mark.parametrize("name", sorted(ANSWERS))
def test_every_picture_states_its_finding_and_every_table_its_heads(pages: Pages, name: str) -> None:
    page = Reader(pages(name).html)
    for tag, attrs in page.tags:
        if tag == "svg":
            assert attrs["role"] == "img" and len(attrs["aria-label"]) > 20
        if tag == "th":
            assert attrs["scope"] in ("col", "row")
    count = [
        sum(tag == wanted for tag, _ in page.tags) for wanted in ("svg", "figure", "figcaption", "table", "caption")
    ]
    assert count[0] == count[1] == count[2] and count[3] == count[4]


@pytest.mark.parametrize(
    "name", [n for n in sorted(ANSWERS) if n.partition("-")[0] in ("swap", "explain", "check", "vet", "leds")]
)
def test_numbers_of_every_requirement_equal_the_json(pages: Pages, name: str) -> None:
    """Demand, capability and headroom of each requirement of each place, exactly; and each id in the Markdown."""
    answer = pages(name)
    page = Reader(answer.html)
    shown = main_places(name, answer.record)
    assert shown
    compared = 0
    for place in shown:
        for requirement in place["requirements"]:
            row = page.numbers.get((place["reference"], requirement["id"]), {})
            assert f'data-requirement="{requirement["id"]}"' in answer.html
            assert f"`{requirement['id']}`" in answer.markdown or f" {requirement['id']}:" in answer.markdown
            for side in ("demand", "capability", "headroom"):
                exact = requirement[side]
                role = ROLES.get(place["role"])
                rule = role.requirements[requirement["id"]] if role is not None else None
                if exact is not None and (rule is None or rule.unit or not rule.discrete):
                    assert exact in row[side], (place["reference"], requirement["id"], side)
                    compared += 1
    assert compared > 8


def test_the_ranking_of_a_swap_equals_the_json(pages: Pages) -> None:
    answer = pages("swap")
    page = Reader(answer.html)
    for candidate in answer.record["candidates"]:
        row = page.numbers[candidate["part_number"], candidate["maker"]]
        assert row["headroom"] == [candidate["headroom"]]
        assert row["price"] == [candidate["price"]] and row["quantity"] == [candidate["quantity"]]
    for id_, count in answer.record["why_not"].items():
        assert page.numbers[(id_,)]["r"] == [count]
    order = [answer.html.index(f'data-candidate="{c["part_number"]}"') for c in answer.record["candidates"]]
    assert order == sorted(order)


@pytest.mark.parametrize("name", ["sheet", "limits"])
def test_the_rating_sheet_equals_the_json(pages: Pages, name: str) -> None:
    answer = pages(name)
    page = Reader(answer.html)
    compared = 0
    for channel in answer.record["channels"]:
        for limit in channel["limits"]:
            if limit["quantity"] == "ambient-max" and limit["whose_parts"] == "board":
                continue  # told once, with the board
            row = page.numbers.get((channel["load"], limit["quantity"], limit["whose_parts"]), {})
            if (limit["quantity"], limit["whose_parts"]) == ("rail-voltage", "board"):
                row = page.numbers.get((limit["of"],), {})  # told once, with the supplies
            for end in ("low", "high"):
                assert row.get(end, []) == ([] if limit[end] is None else [limit[end]]), (channel["load"], limit)
                compared += 1
    for limit in answer.record["air"]:
        row = page.numbers[(limit["quantity"],)]
        assert row["now"] == [limit["now"]]
        assert row.get("high", []) == ([] if limit["high"] is None else [limit["high"]])
    assert compared > 8
    for cause in (answer.record["map"] or {"causes": []})["causes"]:
        assert cause["requirement"] in answer.html and cause["requirement"] in answer.markdown


def test_path_and_figures_of_a_vet_equal_the_json(pages: Pages) -> None:
    answer = pages("vet")
    page = Reader(answer.html)
    for step in answer.record["path"]:
        row = page.numbers[(step["reference"],)]
        assert step["after"]["carries"] in row["carries"]
        if step["after"]["place"] is not None and step["after"]["place"]["headroom"] is not None:
            assert step["after"]["place"]["headroom"] in row["headroom"]
    for figure in answer.record["figures"]:
        row = page.numbers.get((figure["name"],), {})
        for side in ("before", "after"):
            assert row.get(side, []) == ([] if figure[side] is None else [figure[side]]), figure
    assert answer.record["gives_way"]
    for given in answer.record["gives_way"]:
        numbers = [v for values in page.numbers[(given["reference"],)].values() for v in values]
        assert given["demand"] is None or given["demand"] in numbers


def test_the_operating_points_of_a_brightness_equal_the_json(pages: Pages) -> None:
    answer = pages("brightness")
    page, record = Reader(answer.html), answer.record
    best = next(c for c in record["resistors"] if c["resistance"] == record["recommended"])
    shown = [record["fitted"], record["as_drawn"]["point"], best["point"]]
    for name, key, end in (("current_typ", "current", "typ"), ("intensity_max", "intensity", "max")):
        assert page.numbers[(name,)]["r"] == [point[key][end] for point in shown]
    assert page.numbers[("tj_hot",)]["r"] == [point["tj_hot"] for point in shown]
    numbers = page.numbers[("intensity",)]["r"]
    assert record["as_drawn"]["ratio"]["typical"] in numbers and best["ratio"]["largest"] in numbers


def test_a_plan_shows_each_change(pages: Pages) -> None:
    answer = pages("plan")
    assert answer.record["outcome"] == "plan"
    assert "What stands in the way" not in answer.html
    for step in answer.record["steps"]:
        assert f'data-step="{step["option"]["reference"]}"' in answer.html
        for cured in step["cured"]:
            assert cured["without"]["id"] in answer.html and cured["without"]["id"] in answer.markdown


# ---- words from outside


@pytest.mark.parametrize("name", HOSTILE)
def test_words_from_outside_stay_words(pages: Pages, name: str) -> None:
    answer: Made = pages(name, hostile=True)
    page = Reader(answer.html)
    tags = [tag for tag, _ in page.tags]
    assert "script" not in tags and "b>" not in tags
    usual = {tag for tag, _ in Reader(pages(name).html).tags}
    assert set(tags) <= usual | {"b", "ul", "li", "details", "summary", "p", "h3", "h4"}
    assert not any(key.startswith("on") for _, attrs in page.tags for key in attrs)
    assert "\u202e" not in answer.html and "\u202e" not in answer.markdown
    assert "<script" not in answer.html and "49" + "$x$" not in answer.html
    whole = "".join(page.words)
    assert plain(TURNED) in whole, "the name stands in full, as it is"
    assert "<script" not in answer.markdown.replace("\\<script", "")
    assert word(TURNED) in answer.markdown
    assert len(answer.html.encode()) < 1_000_000


def test_a_picture_shortens_and_escapes_names() -> None:
    from partcheck.report.html.pictures.drawing import LONGEST, Drawing, brief

    assert len(brief(NASTY)) == LONGEST
    shown = Drawing('<svg width="1"></svg>', "t", NASTY).numbered(1)
    page = Reader(shown)
    assert page.tags[0][1]["aria-label"] == plain(NASTY)


def test_what_stands_in_markdown_is_no_markdown() -> None:
    assert word("a|b *c* _d_ <e> [f](g) `h` #i") == r"a\|b \*c\* \_d\_ \<e\> \[f\](g) \`h\` \#i"
    assert word("- x") == r"\- x" and word("1. x") == r"1\. x" and word("https://x") == r"https\://x"
    assert word("two\nlines\u202e") == "two lines\ufffd"


# ---- the command


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A board of two valves, of which every job is done in a moment."""
    path = tmp_path_factory.mktemp("small") / "valves.toml"
    path.write_text(VALVES, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("job", "words"),
    [
        ("swap", ["Q2"]), ("explain", ["Q2"]), ("check", []), ("limits", []), ("limits", ["FV2"]), ("vet", ["FV2"]), ("plan", []),
        ("brightness", ["D11", "JUNI-PA12"]), ("brightness", ["D11"]),
    ],
    ids=lambda words: "-".join(words) if isinstance(words, list) else words,
)  # fmt: skip
def test_every_job_writes_both_and_still_answers(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    small: Path,
    job: str,
    words: list[str],
) -> None:
    board = valve_bench(tmp_path / "bench") if job == "brightness" else small
    folder = tmp_path / "answers"
    folder.mkdir()
    html, markdown = folder / "answer.html", folder / "answer.md"
    ran = run(monkeypatch, capsys, job, board, *words, "--parts", SAMPLES, "--html", html, "--markdown", markdown)
    assert ran.code == 0 and ran.out.strip()
    assert ran.err.splitlines() == [f"partcheck: wrote {html}", f"partcheck: wrote {markdown}"]
    assert html.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert markdown.read_text(encoding="utf-8").startswith("# ")
    assert sorted(path.name for path in folder.iterdir()) == ["answer.html", "answer.md"]


@pytest.mark.parametrize(
    ("html", "says"),
    [
        (".", "is a folder"),
        ("nowhere/answer.html", "there is no folder"),
        ("board.toml", "is the board file itself"),
        ("same.md", "is named for two answers at once"),
    ],
)
def test_a_file_that_cannot_be_written_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path, html: str, says: str
) -> None:
    board = tmp_path / "board.toml"
    board.write_text(BOARD.read_text(encoding="utf-8"), encoding="utf-8")
    before = board.read_bytes()
    words = ["explain", board, "Q2", "--parts", SAMPLES, "--html", tmp_path / html, "--markdown", tmp_path / "same.md"]
    ran = run(monkeypatch, capsys, *words)
    assert ran.code == 2 and not ran.out
    assert ran.err.count("\n") == 1 and says in ran.err
    assert board.read_bytes() == before and sorted(path.name for path in tmp_path.iterdir()) == ["board.toml"]


NOTEBOOK = """
import sys
from pathlib import Path
from partcheck.api import open_board

board = open_board(sys.argv[1], parts=[sys.argv[2]])
answers = {
    "check": lambda: board.check(), "explain": lambda: board.explain("Q2", "MOBY-F60-70"), "swap": lambda: board.swap("Q2"),
    "brightness": lambda: board.brightness("D11", "JUNI-PA12"), "sheet": lambda: board.limits(),
    "limits": lambda: board.limits("FV2", (48, 32)), "vet": lambda: board.vet("FV2", voltage="18 V"), "plan": lambda: board.plan(),
}
for name in sys.argv[4:] or answers:
    answer = answers[name]()
    Path(sys.argv[3], name + ".html").write_text(answer.page(), encoding="utf-8", newline="")
    assert answer.markdown().startswith("# "), name
"""


def test_a_notebook_gets_the_same_pages(pages: Pages, tmp_path: Path) -> None:
    """In one process of its own, as a notebook is; what sweeps the board only in the long run."""
    asked = [] if LONG else ["check", "explain", "swap", "brightness"]
    words = [sys.executable, "-c", NOTEBOOK, str(BOARD), str(SAMPLES), str(tmp_path), *asked]
    subprocess.run(words, check=True, cwd=Path(__file__).parents[2])
    made = sorted(tmp_path.glob("*.html"))
    assert len(made) == (len(asked) or 8)
    for path in made:
        text = path.read_bytes().decode()
        assert text.startswith("<!DOCTYPE html>")
        assert path.stem == "plan" or text == pages(path.stem).html, path.stem


def test_a_led_whose_curve_begins_above_its_current_has_its_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """One point of the forward voltage, at 20 mA, and an indicator of 4 mA: what most datasheets of LEDs state."""
    (tmp_path / "led.csv").write_text(
        "Part,Maker,Colour,VF min @ 20 mA (V),VF typ @ 20 mA (V),VF max @ 20 mA (V),IF max (mA),@temperature (°C)\n"
        "NEW-1,Acme,red,1.7,2,2.4,20,60\nNEW-2,Acme,green,1.9,2.2,2.6,20,60\n",
        encoding="utf-8",
    )
    (tmp_path / "board.toml").write_text(
        'format = 1\nname = "one LED"\nparts = ["led.csv"]\nsurroundings = { ambient = "5..45 °C" }\n'
        'rail.V12 = { voltage = "12 V ±5 %" }\n'
        'role.D1 = { role = "indicator", fitted = "NEW-1", rail = "V12", resistor = "2.7 kΩ ±5 %" }\n',
        encoding="utf-8",
    )
    page = tmp_path / "page.html"
    ran = run(monkeypatch, capsys, "brightness", tmp_path / "board.toml", "D1", "NEW-2", "--html", page)
    assert ran.code != 70, ran.err
    assert "on its curve" in page.read_text(encoding="utf-8")
