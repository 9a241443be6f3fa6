"""In a real browser: a part from nothing, one part in two tabs, a sheet with errors, a board by questions."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from partcheck.board import read_board
from partcheck.catalog import open_catalog
from partcheck.parts import Part
from tests.answers.looks import CONTRAST, found_by_axe
from tests.chromium import chromium
from tests.serve.started import Started, started

SHEET = "part_number,maker,vds_max,quantity\nX5,Acme,55 V,12\nX2,Acme,60 A,3\n"


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("browser")
    (made / "boards").mkdir()
    return made


@pytest.fixture(scope="module")
def server(place: Path) -> Iterator[Started]:
    with started(place / "boards", place / "catalog.sqlite") as made:
        yield made


@pytest.fixture(scope="module")
def browser(server: Started) -> Iterator[Any]:
    """A browser that has opened the printed address."""
    with chromium() as opened:
        context = opened.new_context(viewport={"width": 1440, "height": 900})
        context.new_page().goto(f"{server.at}/?key={server.key}")
        yield context


@pytest.fixture
def page(browser: Any, server: Started) -> Iterator[Any]:
    made = browser.new_page()
    slips: list[str] = []
    made.on("pageerror", lambda slip: slips.append(str(slip)))
    made.set_default_timeout(15_000)
    yield made
    made.close()
    assert not slips


def test_a_part_from_nothing_then_edited_in_two_tabs(page: Any, browser: Any, server: Started, place: Path) -> None:
    page.goto(f"{server.at}/catalog/part/add?kind=mosfet")
    page.fill("#f-part_number", "X1")
    page.fill("#f-maker", "Acme")
    page.fill("#f-vds_max", "60 A")
    page.wait_for_selector("#wrong-vds_max p")  # told while it is typed
    page.fill("#f-vds_max", "60 V")
    page.wait_for_selector("text=Not stated, and so left unproven in a mosfet-switch")
    page.fill("#f-rds_on", "4.5 V; 2 A; -; 45 mΩ")
    page.keyboard.press("Tab")
    page.click("text=Save the part")
    page.wait_for_selector(".done")
    edit = f"{server.at}/catalog/part/edit?kind=mosfet&maker=Acme&part=X1"
    other = browser.new_page()
    page.goto(edit)
    other.goto(edit)
    for tab, price in ((page, "0.5"), (other, "0.6")):
        tab.locator("summary", has_text="Stock and notes").click()
        tab.fill("#f-price", price)
    page.click("text=Save the part")
    page.wait_for_selector(".done")
    other.click("text=Save the part")
    other.wait_for_selector("text=price became 0.5")
    other.click("text=Save the part")  # the browser asks for the choice first
    assert "Both of you changed it" in other.inner_text("main")
    other.check("input[name='whose.price'][value=yours]")
    other.click("text=Save the part")
    other.wait_for_selector(".done")
    other.close()
    with open_catalog(place / "catalog.sqlite") as catalog:
        part = catalog.part("X1")
    assert (part.number("vds_max"), part.number("price")) == (60.0, 0.6)


def test_what_was_typed_is_kept_by_the_browser(page: Any, server: Started) -> None:
    where = f"{server.at}/catalog/part/add?kind=led"
    page.goto(where)
    page.fill("#f-part_number", "L7")
    page.goto(f"{server.at}/catalog")
    page.goto(where)
    page.click("text=Restore it")
    assert page.input_value("#f-part_number") == "L7"


def test_a_sheet_with_errors(page: Any, server: Started, place: Path) -> None:
    with open_catalog(place / "catalog.sqlite", create=True) as catalog:
        catalog.add([Part("mosfet", "X5", "Acme", {"vds_max": 60.0})], "Jo", "2024-05-31T10:00:00+00:00")
    sheet = place / "mosfet.csv"
    sheet.write_text(SHEET, "utf-8")
    page.goto(f"{server.at}/catalog/import")
    page.set_input_files("#sheet", str(sheet))
    page.click("text=Show what it would do")
    page.wait_for_selector("text=60 V -> 55 V")
    assert "'60 A' is not a voltage" in page.inner_text("main")
    with page.expect_download() as brought:
        page.click("text=Rejected rows as a file")
    assert "X2,Acme,60 A,3" in Path(brought.value.path()).read_text("utf-8")
    page.check("input[name=keep_good]")
    page.click("text=Enter it into the catalog")
    page.wait_for_selector("text=1 rejected row was left out")
    with open_catalog(place / "catalog.sqlite") as catalog:
        assert catalog.part("X5").number("vds_max") == 55.0


def test_a_board_by_questions(page: Any, server: Started, place: Path) -> None:
    page.goto(f"{server.at}/board/new")
    page.fill("#f-supply-1-voltage", "12 V ±5 %")
    page.keyboard.press("Tab")
    page.wait_for_selector("#f-supply-1-current")
    page.fill("#f-channel-1-load", "HEATER")
    page.keyboard.press("Tab")
    page.fill("#f-channel-1-resistance", "10 Ω ±5 %")
    page.keyboard.press("Tab")
    page.wait_for_selector("text=The board file")
    page.fill("#file", "line")
    page.click("text=Write the board")
    page.wait_for_url("**/board?file=line.toml")
    assert list(read_board(place / "boards" / "line.toml").board.load) == ["HEATER"]


PAGES = ("/catalog", "/catalog/part?part=X1", "/catalog/part/edit?part=X1", "/catalog/part/add?kind=bjt",
         "/catalog/part/history?part=X1", "/catalog/import", "/catalog/review", "/catalog/undo", "/board/new")  # fmt: skip


@pytest.mark.parametrize("path", PAGES)
def test_pages_fit_a_telephone_and_have_no_fault_of_access(page: Any, server: Started, path: str) -> None:
    pytest.importorskip("axe_playwright_python.sync_playwright")
    page.set_viewport_size({"width": 360, "height": 800})
    page.emulate_media(color_scheme="light")
    page.goto(f"{server.at}{path}")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert found_by_axe(page) == []
    page.emulate_media(color_scheme="dark")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert found_by_axe(page, (CONTRAST,)) == []
