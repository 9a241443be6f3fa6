"""The pictures of the README are current, and pictures are honest about what they show."""

import math
import re
import xml.etree.ElementTree as ElementTree
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from partcheck.report.html.pictures.light import grey, luminance
from partcheck.report.html.pictures.ratings import _outline
from partcheck.report.pictures import FOLDER, PICTURES

ROOT = Path(__file__).parents[2]
SHOWN = (ROOT / "README.md").read_text("utf-8") + (ROOT / "catalog_samples" / "GUIDE.md").read_text("utf-8")
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def outline(svg: str) -> tuple[list[str], list[str], list[float]]:
    """Elements in order, words in order, and every coordinate of its paths; names inside it do not count."""
    root = ElementTree.fromstring(svg)
    tags = [element.tag for element in root.iter()]
    words = [(element.text or "").strip() for element in root.iter() if element.tag.endswith("text")]
    numbers = [float(n) for element in root.iter() for n in NUMBER.findall(element.get("d") or "")]
    return tags, words, numbers


@pytest.mark.parametrize("name", sorted(PICTURES))
def test_the_pictures_of_the_readme_are_current(name: str) -> None:
    """If this fails: python -m partcheck.report.pictures"""
    from partcheck.report.html.pictures.drawing import standalone

    kept, fresh = (FOLDER / name).read_text(encoding="utf-8"), standalone(PICTURES[name]())
    for old, new in zip(outline(kept)[:2], outline(fresh)[:2], strict=True):
        assert old == new
    assert outline(kept)[2] == pytest.approx(outline(fresh)[2], abs=1.0)
    assert f"pictures/{name})" in SHOWN


def test_greys_have_the_lightness_that_is_told(colour: Any) -> None:
    """CIE 1976 lightness and the sRGB curve, against colour-science."""
    for lightness in (0.0, 4.0, 8.0, 20.0, 50.0, 77.0, 100.0):
        assert luminance(lightness) == pytest.approx(colour.colorimetry.luminance_CIE1976(lightness, 1.0), abs=2e-4)
        shade = int(grey(luminance(lightness))[1:3], 16) / 255
        assert shade == pytest.approx(float(colour.models.eotf_inverse_sRGB(luminance(lightness))), abs=0.003)


def area(loops: list[list[tuple[int, int]]]) -> float:
    """Signed area within closed lines, holes taken off (shoelace formula)."""
    return math.fsum((x1 * y2 - x2 * y1) / 2 for loop in loops for (x1, y1), (x2, y2) in pairwise(loop))


@pytest.mark.parametrize("seed", range(20))
def test_the_outline_of_a_region_holds_just_its_cells(seed: int) -> None:
    """The area within the lines is the number of cells, whatever the region, holes and corners that touch included."""
    mask = np.random.default_rng(seed).random((7, 9)) < 0.55
    loops = _outline(mask)
    assert all(loop[0] == loop[-1] for loop in loops)
    assert area(loops) == mask.sum()
