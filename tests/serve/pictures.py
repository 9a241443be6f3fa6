"""The pictures of the browser's pages, from the samples; ``python -m tests.serve.pictures [NAME ...]`` takes them anew."""

import io
import os
import shutil
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from PIL import Image

from partcheck.catalog import open_catalog
from partcheck.parts import read_parts
from tests.chromium import chromium
from tests.serve.conftest import SAMPLES
from tests.serve.started import started

FOLDER = SAMPLES / "pictures"
COLOURS = 48
PATIENCE = 300_000
"""Milliseconds; a busy machine takes its time."""
SHEET = (
    "part_number,maker,package,vds_max,quantity,price\nTALQ-60N80,Talvik,SOT-23,60 V,250,0.159\n"
    "KEST-F60T,Kestane,TO-92,60 A,700,0.12\nARFJ-F60Z,Ardenfjord,SOT-23,60 V,40,0.2\n"
)


def _find(page: Any, _: Path) -> None:
    page.goto("/catalog?kind=mosfet&where=rds_on.max+%3C%3D+60+m%CE%A9+at+vgs+%3C%3D+4.5+V&sort=price&show=vds_max")


def _form(page: Any, _: Path) -> None:
    page.goto("/catalog/part/add?kind=mosfet")
    values = {
        "part_number": "X1",
        "maker": "Example",
        "package": "SOT-23",
        "id_max": "25 °C; ambient; 2 A",
        "vds_max": "60 A",
    }
    for name, text in values.items():
        page.fill(f"#f-{name}", text)
    page.wait_for_selector("#wrong-vds_max p")


def _open(page: Any, _: Path) -> None:
    page.goto("/catalog/part?part=TALQ-60N80")
    page.wait_for_selector(".found h2")


def _two_tabs(page: Any, _: Path) -> None:
    other = page.context.new_page()
    for tab in (page, other):
        tab.goto("/catalog/part/edit?part=TALQ-60N80")
    for tab, price, stock, name in ((other, "0.17", "90", "Kim"), (page, "0.158", "0", "Jo")):
        tab.fill("#f-price", price)
        tab.fill("#f-quantity", stock)
        tab.fill("#by", name)
        tab.click("text=Save the part")
        tab.wait_for_load_state()
    other.close()
    page.wait_for_selector("text=Nothing was saved yet")


def _import(page: Any, place: Path) -> None:
    sheet = place / "mosfet.csv"
    sheet.write_text(SHEET, "utf-8")
    page.goto("/catalog/import")
    page.set_input_files("#sheet", str(sheet))
    page.check("input[name=merge]")
    page.click("text=Show what it would do")
    page.wait_for_selector("text=Rejected")


def _board(page: Any, _: Path) -> None:
    page.goto("/board/new")
    answers = {
        "supply-1-voltage": "12 V ±5 %", "channel-1-load": "FV1", "channel-1-count": "4", "channel-1-sort": "valve",
        "channel-1-resistance": "36 Ω ±8 %", "channel-1-inductance": "60 mH ±20 %",
    }  # fmt: skip
    for name, text in answers.items():
        page.wait_for_selector(f"#f-{name}")
        page.fill(f"#f-{name}", text)
        with page.expect_response("**/board/new"):
            page.keyboard.press("Tab")
        page.wait_for_timeout(200)
    page.wait_for_selector("text=The board file")


def _what_if(page: Any, _: Path) -> None:
    page.goto("/what-if?file=bottling-bench.toml&load=FV1&voltage=16+V")
    page.wait_for_selector("#field svg .spot")


def _board_page(page: Any, _: Path) -> None:
    page.goto("/board?file=bottling-bench.toml")


def _place_page(page: Any, _: Path) -> None:
    page.goto("/place?file=bottling-bench.toml&place=Q1")


PICTURES: dict[str, tuple[Callable[[Any, Path], None], int, int, int, str]] = {
    "browser-find": (_find, 0, 1120, 640, "light"),
    "browser-part": (_open, 0, 1280, 620, "dark"),
    "browser-form": (_form, 390, 1240, 760, "light"),
    "browser-two-tabs": (_two_tabs, 0, 1120, 560, "light"),
    "browser-import": (_import, 0, 1120, 900, "light"),
    "browser-bench": (_board_page, 0, 1440, 640, "light"),
    "browser-what-if": (_what_if, 0, 1440, 760, "dark"),
    "browser-phone": (_what_if, 0, 360, 700, "light"),
    "browser-phone-place": (_place_page, 0, 360, 700, "dark"),
    "browser-board": (_board, 0, 1240, 760, "light"),
}


def main() -> None:
    """Take all of them."""
    os.environ["LOGNAME"] = "jo"  # who enters it, unless somebody writes another name
    with tempfile.TemporaryDirectory() as name, chromium() as opened:
        place = Path(name)
        (place / "boards").mkdir()
        shutil.copy(SAMPLES / "bottling-bench.toml", place / "boards")
        with open_catalog(place / "catalog.sqlite", create=True) as catalog:
            catalog.add(read_parts(SAMPLES), "Jo", "2024-05-31T10:00:00+00:00")
        with started(Path("boards"), Path("catalog.sqlite"), cwd=place) as server:
            wanted = {name: PICTURES[name] for name in sys.argv[1:]} or PICTURES
            for picture, (take, top, width, height, scheme) in wanted.items():
                view = {"width": width, "height": height}
                context = opened.new_context(base_url=server.at, viewport=view, color_scheme=scheme)
                context.set_default_timeout(PATIENCE)
                page = context.new_page()
                page.goto(f"/?key={server.key}")
                take(page, place)
                page.evaluate(f"scrollTo(0, {top})")
                taken = Image.open(io.BytesIO(page.screenshot()))
                small = taken.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
                small.save(FOLDER / f"{picture}.png", optimize=True)
                context.close()


if __name__ == "__main__":
    main()
