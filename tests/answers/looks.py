"""All that is looked at on an answer's page in a browser, in one opening of it."""

import re
from pathlib import Path
from typing import Any

from tests.draws import LONG

WIDE = {"A4": 794 - 91, "Letter": 816 - 91}
"""px at 96 to the inch, less the margins of 12 mm."""
SCREEN, PHONE = {"width": 1280, "height": 720}, {"width": 360, "height": 740}
DARK = ("explain", "limits", "vet", "brightness")
"""The pages whose contrast is looked at in the dark as well; between them they have every sort of picture."""
COUNTED = ("sheet",)
"""The pages of which the number of leaves is promised on every paper; of the others it is counted on A4 alone."""

UNFOLD = "document.querySelectorAll('details').forEach(d => d.open = true)"
ACROSS = "document.documentElement.scrollWidth"
STYLES = "[...document.querySelectorAll('{}')].map(e => getComputedStyle(e).{})"
SMALL = """
(() => { const found = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT); let t;
  while (t = walk.nextNode()) {
    const e = t.parentElement;
    if (!t.textContent.trim() || !e.getClientRects().length || e.closest('math')) continue;
    if (e.closest('details:not([open])') || getComputedStyle(e).clipPath !== 'none') continue;
    const m = e.closest('svg') ? e.getScreenCTM() : null;
    const pt = parseFloat(getComputedStyle(e).fontSize) * (m ? Math.hypot(m.a, m.b) : 1) * 0.75;
    if (pt < 7.95) found.push([pt, e.tagName, t.textContent.slice(0, 40)]);
  }
  return found; })()"""
"""Words printed smaller than 8 points."""
CUT = """
[...document.querySelectorAll('figure svg')].flatMap(s => { const o = s.getBoundingClientRect();
  return [...s.querySelectorAll('text')].filter(t => { const b = t.getBoundingClientRect();
    return b.width && (b.left < o.left - 1 || b.right > o.right + 1 || b.top < o.top - 2 || b.bottom > o.bottom + 2);
  }).map(t => t.textContent); })"""
"""Words of pictures that reach out of these."""
LOST = """
[...document.querySelectorAll('main *, header *')].filter(e => !e.closest('svg') && !e.closest('.scroll')
  && !e.closest('.picture') && e.getBoundingClientRect().right > 361).map(e => e.outerHTML.slice(0, 200))"""
"""What lies beside a phone's screen."""
PICTURES = """
[...document.querySelectorAll('figure svg')].map(s => ({chart: !s.classList.contains('drawing'),
  wide: s.parentElement.scrollWidth - s.parentElement.clientWidth,
  labels: [...s.querySelectorAll('text')].filter(t => t.textContent.trim()).map(t => {
    const b = t.getBoundingClientRect(), m = t.getScreenCTM();
    return [t.textContent, b.left, b.top, b.right, b.bottom,
      parseFloat(getComputedStyle(t).fontSize) * Math.hypot(m.a, m.b)]; })}))"""
"""Each picture: whether it is a chart, how far it scrolls, and its labels with place and size."""
INTRUDE = """() => {
  const s = document.createElement('script'); s.textContent = 'window.ran = 1'; document.body.append(s);
  const i = document.createElement('img'); i.src = 'http://127.0.0.1:9/x.png'; document.body.append(i); }"""
ALIKE = """() => {
  const look = e => e.nodeName + '.' + (e.getAttribute('class') || '') + '{' + (e.getAttribute('style') || '') + '}';
  const path = e => e === document.body ? '' : path(e.parentElement) + '>' + look(e), all = new Map();
  for (const e of document.body.querySelectorAll('*')) {
    if (![...e.childNodes].some(n => n.nodeType === 3 && n.data.trim())) continue;
    const key = path(e);
    if (!all.has(key)) all.set(key, []);
    all.get(key).push(e);
  }
  for (const alike of all.values()) for (const e of [...alike.slice(0, 3), alike.at(-1)]) e.dataset.look = ''; }"""
"""Mark words to be looked at: of those with the same elements, classes and styles above them, which say how they look, four."""
ALL_BUT_CONTRAST = {"resultTypes": ["violations"], "rules": {"color-contrast": {"enabled": False}}}
CONTRAST = {"resultTypes": ["violations"], "runOnly": ["color-contrast"]}


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


def look(shown: Shown, name: str) -> dict[str, Any]:
    """Everything that is measured of a page: first as it comes, on paper; then unfolded; what harms it at last."""
    page, seen = shown.page, {"title": shown.page.title(), "leaves": {}, "across": {}}
    for paper in WIDE:
        if paper == "A4" or name in COUNTED or LONG:
            seen["leaves"][paper] = len(re.findall(rb"/Type\s*/Page\b(?!s)", page.pdf(format=paper)))
    page.emulate_media(media="print")
    for paper, wide in reversed(WIDE.items()):
        page.set_viewport_size({"width": wide, "height": 1000})
        seen["across"][paper] = page.evaluate(ACROSS)
    seen["heads"] = set(page.evaluate(STYLES.format("thead", "display")))
    seen["rows"] = set(page.evaluate(STYLES.format("tbody tr", "breakInside")))
    seen["small"] = page.evaluate(SMALL)
    page.emulate_media(media="screen")
    page.set_viewport_size(SCREEN)
    page.evaluate(UNFOLD)
    seen["cut"] = page.evaluate(CUT)
    seen["violations"] = violations(page, name in DARK)
    page.set_viewport_size(PHONE)
    seen["phone"] = page.evaluate(ACROSS)
    seen["lost"] = page.evaluate(LOST)
    seen["pictures"] = page.evaluate(PICTURES)
    seen["said"], seen["asked"] = list(shown.said), list(shown.asked)
    page.evaluate(INTRUDE)
    seen["ran"] = page.evaluate("window.ran")
    seen["said of an intruder"] = shown.said[len(seen["said"]) :]
    return seen


def violations(page: Any, dark: bool) -> dict[str, list[str]]:
    """What axe-core finds, by light and dark: in the dark it is told by its colours alone."""
    seen = {"light": found_by_axe(page)}
    if dark:
        page.emulate_media(color_scheme="dark")
        seen["dark"] = found_by_axe(page, (CONTRAST,))
        page.emulate_media(color_scheme="light")
    return seen


def found_by_axe(page: Any, asked: tuple[dict[str, Any], ...] = (ALL_BUT_CONTRAST, CONTRAST)) -> list[str]:
    """What axe-core finds on an open page: contrast in an ordinary run of some words of every sort, all else of everything."""
    from axe_playwright_python.sync_playwright import Axe

    page.evaluate(ALIKE)
    found = []
    for options in asked:
        context = "[data-look]" if options is CONTRAST and not LONG else None
        found += Axe().run(page, context, options).response["violations"]
    return [f"{v['id']}: {v['help']}: {[n['html'][:160] for n in v['nodes'][:3]]}" for v in found]
