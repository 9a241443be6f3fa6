"""In a real browser: an out-of-stock part swapped, a voltage raised until a part gives way, and every page looked at."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from partcheck.board import read_board
from partcheck.catalog import open_catalog
from tests.answers.looks import found_by_axe
from tests.chromium import chromium
from tests.serve.conftest import FILE, SAMPLES, SMALL, VALVES
from tests.serve.started import Started, started

PAGES = {
    "boards": "/",
    "board": f"/board?file={SMALL}",
    "board as fitted": f"/board?file={SMALL}&fit=Q2%3DMOBY-F60-70",
    "place": f"/place?file={SMALL}&place=Q2",
    "part": f"/part?file={SMALL}&place=Q2&part=MOBY-F60-70",
    "what if": f"/what-if?file={SMALL}&load=FV2&voltage=32+V",
    "brightness": f"/brightness?file={SMALL}",
    "limits": f"/limits?file={SMALL}&load=FV1",
    "plan": f"/plan?file={SMALL}",
    "fleet": "/fleet",
    "records": f"/records?file={SMALL}",
    "refused": "/board?file=none.toml",
}


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("bench")
    (made / "boards").mkdir()
    shutil.copy(SAMPLES / FILE, made / "boards")
    (made / "boards" / SMALL).write_text(VALVES, "utf-8")
    open_catalog(made / "own.sqlite", create=True).close()
    return made


@pytest.fixture(scope="module")
def server(place: Path) -> Iterator[Started]:
    with started(place / "boards", place / "own.sqlite", "--parts", str(SAMPLES)) as made:
        yield made


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as opened:
        yield opened


@pytest.fixture
def page(browser: Any, server: Started) -> Iterator[Any]:
    """A page that has the key; it may say nothing wrong, and ask for nothing from elsewhere."""
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    made = context.new_page()
    slips: list[str] = []
    made.on("pageerror", lambda slip: slips.append(str(slip)))
    made.on("console", lambda said: slips.append(said.text) if "Content Security Policy" in said.text else None)
    made.on("request", lambda asked: slips.append(asked.url) if not asked.url.startswith(server.at) else None)
    made.set_default_timeout(60_000)
    made.goto(f"{server.at}/?key={server.key}")
    yield made
    context.close()
    assert not slips


def test_the_out_of_stock_part_is_swapped_with_the_keyboard_alone(page: Any, place: Path) -> None:
    page.focus(f"a:has-text('{FILE}')")
    page.keyboard.press("Enter")
    page.wait_for_selector("h1:has-text('small bottling bench')")
    page.focus("tr[data-place=Q2] a")
    page.keyboard.press("Enter")
    page.wait_for_selector("h1:has-text('Stand-ins for Q2')")
    assert "out-of-stock" in page.inner_text("main")
    page.focus("tr[data-candidate] a")
    page.keyboard.press("Enter")
    page.wait_for_selector("text=What it does to the board")
    page.fill("#by", "Jo")
    page.fill("#note", "on hand")
    kept = page.url
    page.click("text=Fit it and see the board after")
    page.wait_for_selector(".as-fitted")
    assert "MOBY-F60-70" in page.inner_text("tr[data-place=Q2]")
    page.goto(kept)
    page.fill("#by", "Jo")
    page.focus("button:has-text('Accept')")
    page.keyboard.press("Enter")
    page.wait_for_url("**/records?*number=1")
    assert "MOBY-F60-70" in page.inner_text("main")
    with open_catalog(place / "own.sqlite") as catalog:
        assert [(row.reference, row.accepted_by) for row in catalog.accepted()] == [("Q2", "Jo")]


def test_a_voltage_is_raised_until_a_part_gives_way_and_the_board_is_kept(
    page: Any, server: Started, place: Path
) -> None:
    page.goto(f"{server.at}/what-if?file={SMALL}&load=FV2")
    assert "meets" in page.inner_text("#now .finding")
    page.get_by_label("Voltage of its rail, slider").focus()
    page.keyboard.press("End")
    page.wait_for_selector("#now .finding .v-fails")
    assert page.input_value("#f-voltage") == "36 V" and "voltage=36" in page.url
    page.wait_for_selector("#more .finding")
    assert "gives way first" in page.inner_text("#more .finding")
    shared = page.url
    page.fill("#f-voltage", "11.9 V")
    page.wait_for_selector("#now .finding .v-meets")
    page.goto(shared)
    page.wait_for_selector("#now .finding .v-fails")
    page.fill("#f-name", "raised")
    page.click("text=Save")
    page.wait_for_url("**/board?file=raised.toml")
    made = read_board(place / "boards" / "raised.toml")
    assert made.board.rail["V12"].voltage.typ == 36 and "# the bench supply" in made.text


def test_another_led_is_looked_at(page: Any, server: Started) -> None:
    page.goto(f"{server.at}/brightness?file={FILE}")
    page.select_option("#f-place", "D11")
    page.fill("#f-part", "HOLL-3R60")
    page.click("text=Compare")
    page.wait_for_selector(".come .finding")
    assert "times the light of HOLL-3A60" in page.inner_text(".come .finding")
    assert not page.is_visible(".doing") and page.locator(".come svg").count() >= 2


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_fit_for_everybody(page: Any, server: Started, name: str) -> None:
    pytest.importorskip("axe_playwright_python.sync_playwright")
    for width, scheme in ((1440, "light"), (360, "dark")):
        page.set_viewport_size({"width": width, "height": 800})
        page.emulate_media(color_scheme=scheme)
        page.goto(server.at + PAGES[name])
        page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true })")
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert found_by_axe(page) == []


def test_a_page_without_script_shows_the_same(browser: Any, server: Started) -> None:
    context = browser.new_context(java_script_enabled=False)
    made = context.new_page()
    made.goto(f"{server.at}/?key={server.key}")
    made.goto(f"{server.at}/what-if?file={SMALL}&load=FV2")
    made.fill("#f-voltage", "32 V")
    made.click("text=Judge it")
    assert "FAILS" in made.inner_text("#now .finding")
    made.goto(f"{server.at}/plan?file={SMALL}")
    assert made.is_visible(".come .finding") and not made.is_visible(".doing")
    context.close()
