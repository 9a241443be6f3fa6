"""Every page in a real Chromium: quiet, alone, accessible, on paper, on a phone, in the dark."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.chromium import chromium
from tests.made import Pages
from tests.pages import ANSWERS, CATALOG_ANSWERS

EACH = sorted(ANSWERS)
ALL = [*EACH, *sorted(CATALOG_ANSWERS)]
PAPERS = ("A4", "Letter")
MOST_PAGES = {
    "sheet": 2,
    "limits": 4,
    "explain": 10,
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


class Shown:
    """A page that is open, with everything it said and everything it asked for."""

    def __init__(self, browser: Any, path: Path, **how: Any) -> None:
        self.context = browser.new_context(**how)
        self.said: list[str] = []
        self.asked: list[str] = []
        self.page = self.context.new_page()
        self.page.on("console", lambda message: self.said.append(f"{message.type}: {message.text}"))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("dialog", lambda dialog: self.said.append(dialog.message))
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(path.as_uri())

    def __enter__(self) -> "Shown":
        return self

    def __exit__(self, *_: object) -> None:
        self.context.close()


Show = Callable[..., Shown]


@pytest.fixture(scope="module")
def show(browser: Any, pages: Pages, tmp_path_factory: pytest.TempPathFactory) -> Show:
    """Opens a page by its name."""
    folder = tmp_path_factory.mktemp("pages")

    def opened(name: str, hostile: bool = False, **how: Any) -> Shown:
        path = folder / f"{'hostile-' if hostile else ''}{name}.html"
        path.write_text(pages(name, hostile).html, encoding="utf-8")
        return Shown(browser, path, **how)

    return opened


@pytest.mark.parametrize("name", ALL)
def test_nothing_is_said_and_nothing_asked_for(show: Show, name: str) -> None:
    with show(name) as shown:
        shown.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        assert shown.said == []
        assert len(shown.asked) == 1 and shown.asked[0].startswith("file:")
        assert shown.page.title()


@pytest.mark.parametrize("name", EACH)
def test_the_policy_of_the_page_lets_no_script_run(show: Show, name: str) -> None:
    """Even a script that got in would not run, and a picture from elsewhere would not be fetched."""
    with show(name) as shown:
        shown.page.evaluate(
            "() => { const s = document.createElement('script'); s.textContent = 'window.ran = 1'; document.body.append(s);"
            " const i = document.createElement('img'); i.src = 'http://127.0.0.1:9/x.png'; document.body.append(i); }"
        )
        assert shown.page.evaluate("window.ran") is None
        assert any("Content Security Policy" in said for said in shown.said)


@pytest.mark.parametrize(
    ("name", "scheme"),
    [*((name, "light") for name in ALL), *((name, "dark") for name in ("explain", "limits", "vet", "brightness"))],
)
def test_an_accessibility_engine_finds_nothing(show: Show, name: str, scheme: str) -> None:
    """axe-core, all rules, with everything folded open."""
    from axe_playwright_python.sync_playwright import Axe

    with show(name, color_scheme=scheme, bypass_csp=True) as shown:
        shown.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        found = Axe().run(shown.page)
        said = [
            f"{v['id']}: {v['help']}: {[n['html'][:160] for n in v['nodes'][:3]]}" for v in found.response["violations"]
        ]
        assert said == []


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ALL)
def test_it_prints(show: Show, name: str, paper: str) -> None:
    with show(name) as shown:
        printed = shown.page.pdf(format=paper)
        pages = len(re.findall(rb"/Type\s*/Page\b(?!s)", printed))
        assert 1 <= pages <= MOST_PAGES.get(name, MOST_PAGES.get(name.partition("-")[0], 8))
        shown.page.emulate_media(media="print")
        wide = {"A4": 794 - 91, "Letter": 816 - 91}[paper]  # px at 96 to the inch, less the margins of 12 mm
        shown.page.set_viewport_size({"width": wide, "height": 1000})
        assert shown.page.evaluate("document.documentElement.scrollWidth") <= wide + 1, "something is cut at the right"
        styles = "[...document.querySelectorAll('{}')].map(e => getComputedStyle(e).{})"
        assert set(shown.page.evaluate(styles.format("thead", "display"))) <= {"table-header-group"}
        assert set(shown.page.evaluate(styles.format("tbody tr", "breakInside"))) <= {"avoid"}


@pytest.mark.parametrize("name", ALL)
def test_a_phone_scrolls_down_only(show: Show, name: str) -> None:
    """Wide tables and pictures scroll inside their own box, and the keyboard reaches these."""
    with show(name, viewport={"width": 360, "height": 740}) as shown:
        shown.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        assert shown.page.evaluate("document.documentElement.scrollWidth") <= 360
        lost = shown.page.evaluate(
            "[...document.querySelectorAll('main *, header *')].filter(e => !e.closest('svg') && !e.closest('.scroll')"
            " && !e.closest('.picture') && e.getBoundingClientRect().right > 361).map(e => e.outerHTML.slice(0, 200))"
        )
        assert lost == []


@pytest.mark.parametrize("name", EACH)
def test_no_words_of_a_picture_are_cut(show: Show, name: str) -> None:
    """Every text of every picture lies inside it."""
    with show(name) as shown:
        shown.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        cut = shown.page.evaluate(
            "[...document.querySelectorAll('figure svg')].flatMap(s => { const o = s.getBoundingClientRect();"
            " return [...s.querySelectorAll('text')].filter(t => { const b = t.getBoundingClientRect();"
            " return b.width && (b.left < o.left - 1 || b.right > o.right + 1 || b.top < o.top - 2"
            " || b.bottom > o.bottom + 2); }).map(t => t.textContent); })"
        )
        assert cut == []


NO_LABEL = "▼"
"""A mark that is written as a letter."""


@pytest.mark.parametrize("name", EACH)
def test_a_phone_shows_whole_pictures_whose_words_can_be_read(show: Show, name: str) -> None:
    """Charts are as narrow as a phone, so that nothing of them is off the screen; no label lies over another."""
    with show(name, viewport={"width": 360, "height": 740}) as shown:
        shown.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        found = shown.page.evaluate(
            "[...document.querySelectorAll('figure svg')].map(s => ({chart: !s.classList.contains('drawing'),"
            " wide: s.parentElement.scrollWidth - s.parentElement.clientWidth,"
            " labels: [...s.querySelectorAll('text')].filter(t => t.textContent.trim()).map(t => {"
            " const b = t.getBoundingClientRect(), m = t.getScreenCTM();"
            " return [t.textContent, b.left, b.top, b.right, b.bottom,"
            " parseFloat(getComputedStyle(t).fontSize) * Math.hypot(m.a, m.b)]; })}))"
        )
        for picture in found:
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
def test_nothing_is_printed_smaller_than_8_points(show: Show, name: str) -> None:
    """Words and the words of pictures, as wide as the paper prints them."""
    with show(name) as shown:
        shown.page.emulate_media(media="print")
        shown.page.set_viewport_size({"width": 794 - 91, "height": 1000})
        small = shown.page.evaluate(
            "(() => { const found = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT); let t;"
            " while (t = walk.nextNode()) { const e = t.parentElement;"
            " if (!t.textContent.trim() || !e.getClientRects().length || e.closest('math')) continue;"
            " if (e.closest('details:not([open])') || getComputedStyle(e).clipPath !== 'none') continue;"
            " const m = e.closest('svg') ? e.getScreenCTM() : null;"
            " const pt = parseFloat(getComputedStyle(e).fontSize) * (m ? Math.hypot(m.a, m.b) : 1) * 0.75;"
            " if (pt < 7.95) found.push([pt, e.tagName, t.textContent.slice(0, 40)]); } return found; })()"
        )
        assert small == []


@pytest.mark.parametrize("name", ["swap", "sheet", "vet"])
def test_names_that_try_to_be_markup_do_nothing(show: Show, name: str) -> None:
    """Nothing runs, nothing is fetched, nothing reaches over the edge of a phone or of paper."""
    with show(name, hostile=True, viewport={"width": 360, "height": 740}) as shown:
        shown.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
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
