"""Every page in a real Chromium: quiet, alone, accessible, on paper, on a phone, in the dark."""

from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import pytest

from tests.answers.looks import COUNTED, DARK, UNFOLD, WIDE, Shown, look
from tests.chromium import chromium
from tests.draws import LONG
from tests.made import Pages
from tests.pages import ANSWERS, CATALOG_ANSWERS

EACH = sorted(ANSWERS)
ALL = [*EACH, *sorted(CATALOG_ANSWERS)]
MOST_PAGES = {
    "sheet": 2,
    "limits": 4,
    "explain": 11,
    "swap": 14,
    "vet": 16,
    "plan": 8,
    "brightness": 5,
    "check": 30,
    "record": 24,
}
"""So many printed pages an answer may take; the rating sheet is promised on two, both sides of one leaf."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as opened:
        yield opened


Show = Callable[..., Shown]
See = Callable[[str], dict[str, Any]]


@pytest.fixture(scope="module")
def show(browser: Any, pages: Pages, tmp_path_factory: pytest.TempPathFactory) -> Show:
    """Opens a page by its name."""
    folder = tmp_path_factory.mktemp("pages")

    def opened(name: str, hostile: bool = False, **how: Any) -> Shown:
        path = folder / f"{'hostile-' if hostile else ''}{name}.html"
        path.write_text(pages(name, hostile).html, encoding="utf-8")
        return Shown(browser, path, **how)

    return opened


@pytest.fixture(scope="module")
def see(show: Show) -> See:
    """What there is to see of a page, by its name: looked at in one opening for all tests."""

    @cache
    def seen(name: str) -> dict[str, Any]:
        with show(name) as shown:
            return look(shown, name)

    return seen


@pytest.mark.parametrize("name", ALL)
def test_nothing_is_said_and_nothing_asked_for(see: See, name: str) -> None:
    seen = see(name)
    assert seen["said"] == []
    assert len(seen["asked"]) == 1 and seen["asked"][0].startswith("file:")
    assert seen["title"]


@pytest.mark.parametrize("name", EACH)
def test_the_policy_of_the_page_lets_no_script_run(see: See, name: str) -> None:
    """Even a script that got in would not run, and a picture from elsewhere would not be fetched."""
    seen = see(name)
    assert seen["ran"] is None
    assert any("Content Security Policy" in said for said in seen["said of an intruder"])


@pytest.mark.parametrize(("name", "scheme"), [*((name, "light") for name in ALL), *((name, "dark") for name in DARK)])
def test_an_accessibility_engine_finds_nothing(see: See, name: str, scheme: str) -> None:
    """axe-core, all rules, with everything folded open; contrast in the long run of every word, else of each sort of word."""
    assert see(name)["violations"][scheme] == []


@pytest.mark.parametrize("paper", WIDE)
@pytest.mark.parametrize("name", ALL)
def test_it_prints(see: See, name: str, paper: str) -> None:
    seen = see(name)
    assert (paper in seen["leaves"]) or (paper == "Letter" and name not in COUNTED and not LONG)
    for leaves in seen["leaves"].values():
        assert 1 <= leaves <= MOST_PAGES.get(name, MOST_PAGES.get(name.partition("-")[0], 8))
    assert seen["across"][paper] <= WIDE[paper] + 1, "something is cut at the right"
    assert seen["heads"] <= {"table-header-group"}
    assert seen["rows"] <= {"avoid"}


@pytest.mark.parametrize("name", ALL)
def test_a_phone_scrolls_down_only(see: See, name: str) -> None:
    """Wide tables and pictures scroll inside their own box, and the keyboard reaches these."""
    seen = see(name)
    assert seen["phone"] <= 360
    assert seen["lost"] == []


@pytest.mark.parametrize("name", EACH)
def test_no_words_of_a_picture_are_cut(see: See, name: str) -> None:
    """Every text of every picture lies inside it."""
    assert see(name)["cut"] == []


NO_LABEL = "▼"
"""A mark that is written as a letter."""


@pytest.mark.parametrize("name", EACH)
def test_a_phone_shows_whole_pictures_whose_words_can_be_read(see: See, name: str) -> None:
    """Charts are as narrow as a phone, so that nothing of them is off the screen; no label lies over another."""
    for picture in see(name)["pictures"]:
        labels = [label for label in picture["labels"] if label[0] != NO_LABEL]
        assert picture["wide"] <= 1, "it scrolls to the side"
        if picture["chart"] and labels:
            assert min(label[5] for label in labels) > 7.9
        over = [
            (one[0], two[0])
            for i, one in enumerate(labels)
            for two in labels[i + 1 :]
            if min(one[3], two[3]) - max(one[1], two[1]) > 1 and min(one[4], two[4]) - max(one[2], two[2]) > 2.5
        ]
        assert over == []


@pytest.mark.parametrize("name", ALL)
def test_nothing_is_printed_smaller_than_8_points(see: See, name: str) -> None:
    """Words and the words of pictures, as wide as the paper prints them."""
    assert see(name)["small"] == []


@pytest.mark.parametrize("name", ["swap", "sheet", "vet"])
def test_names_that_try_to_be_markup_do_nothing(show: Show, name: str) -> None:
    """Nothing runs, nothing is fetched, nothing reaches over the edge of a phone or of paper."""
    with show(name, hostile=True, viewport={"width": 360, "height": 740}) as shown:
        shown.page.evaluate(UNFOLD)
        assert shown.said == [] and len(shown.asked) == 1
        assert shown.page.evaluate("document.querySelectorAll('script').length") == 0
        assert shown.page.evaluate("document.documentElement.scrollWidth") <= 360
        shown.page.emulate_media(media="print")
        shown.page.set_viewport_size({"width": 703, "height": 1000})
        assert shown.page.evaluate("document.documentElement.scrollWidth") <= 704


def test_dark_and_light_differ_and_pictures_with_them(show: Show) -> None:
    colours = []
    for scheme in ("light", "dark"):
        with show("swap", color_scheme=scheme) as shown:
            colours.append(
                shown.page.evaluate(
                    "[getComputedStyle(document.body).backgroundColor,"
                    " getComputedStyle(document.querySelector('figure svg text')).fill]"
                )
            )
    light, dark = colours
    assert light[0] != dark[0] and light[1] != dark[1]


def test_formulas_are_set_by_the_browser(show: Show) -> None:
    """Chromium sets MathML itself: a fraction is higher than its line."""
    with show("explain") as shown:
        heights = shown.page.evaluate(
            "[...document.querySelectorAll('mfrac')].map(f => f.getBoundingClientRect().height)"
        )
        assert heights and min(heights) > 20
