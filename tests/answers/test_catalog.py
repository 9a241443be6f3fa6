"""What the catalog answers stands in every rendering, opens with its finding, and is written into pages and logs."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from partcheck.parameters import KINDS
from partcheck.units import parse, show
from tests.answers.test_document import flat, page_words
from tests.command import Ran, run
from tests.made import Pages
from tests.pages import CATALOG_ANSWERS, filled

EACH = sorted(CATALOG_ANSWERS)
SECOND = {"format", "job", "former", "new", "now", "then", "deviation"}
"""What a document does not hold, or holds in words of its own that are looked for below."""


def words_of(page: str) -> str:
    """What a reader of a page reads, cells apart."""
    return page_words(re.sub(r"(?<=</t[dh]>)", " ", page)).replace("  ", " ")


def forms(pages: Pages, name: str) -> dict[str, str]:
    answer = pages(name)
    return {"text": flat(answer.text), "markdown": flat(answer.markdown), "page": words_of(answer.html)}


def leaves(value: Any, key: str = "") -> Iterator[tuple[str, Any]]:
    """Every single value of a record with its name."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from leaves(inner, name)
    elif isinstance(value, list):
        for inner in value:
            yield from leaves(inner, key)
    elif value is not None:
        yield key, value


def numbers(words: str) -> set[float]:
    """Every number that stands in a text, in every unit that a prefix may make of it, to three digits."""
    said = {float(found) for found in re.findall(r"(?<![\w.])(-?\d+(?:\.\d+)?)", words)}
    return {float(f"{number * scale:.3g}") for number in said for scale in (1, 1e3, 1e-3, 1e-6, 1e-9, 1e-12)}


@pytest.mark.parametrize("name", sorted(set(EACH) - {"fleet", "import", "record", "list", "show"}))
def test_every_value_of_the_record_stands_in_every_rendering(pages: Pages, name: str) -> None:
    wanted = [(key, value) for key, value in leaves(pages(name).record) if key not in SECOND]
    assert len(wanted) > 5
    for where, words in forms(pages, name).items():
        told = numbers(words)
        for key, value in wanted:
            if isinstance(value, bool) or (name, key, value) in NOT_TOLD or value in ("", "active"):
                continue
            if isinstance(value, str):
                assert flat(value) in words, (where, key, value)
            else:
                assert float(f"{value:.3g}") in told, (where, key, value)


NOT_TOLD = {
    ("history", "column", "part"),  # "entered"
    ("history", "kind", "mosfet"), ("undo", "kind", "mosfet"), ("find", "kind", "mosfet"),  # "MOSFET", or nothing
    ("verify", "check", "values"),  # the heading "Values"
}  # fmt: skip
"""What is told in other words."""


def test_what_an_import_took_and_what_not_stands_on_its_page_and_in_its_log(pages: Pages) -> None:
    """On the terminal the added parts and changed values are only counted: they were shown before they were agreed to."""
    record = pages("import").record
    assert (record["added"], record["changed"]) == (1, 1) and record["bad"]
    for where, words in forms(pages, "import").items():
        for cell in record["bad"]:
            assert cell["reason"] in words and flat(cell["text"]) in words, where
        assert record["rejects"] in words and record["catalog"] in words
        if where != "text":
            assert "L-NEW" in words and "passed over" in words
            for each in record["differences"]:
                assert each["column"] in words, (where, each)
    assert "changed" in forms(pages, "import")["page"] and "L-NEW" not in forms(pages, "import")["text"]


def test_values_of_the_history_and_of_an_undo_stand_with_their_units(pages: Pages) -> None:
    for name in ("history", "undo"):
        for words in forms(pages, name).values():
            assert "vds_max: 60 V -> 55 V" in words if name == "history" else "vds_max: 55 V -> 60 V" in words


def test_every_stated_value_of_a_part_stands_with_its_unit_and_its_source(pages: Pages) -> None:
    kind = KINDS["mosfet"]
    (part,) = pages("show").record["parts"]
    for where, words in forms(pages, "show").items():
        for column, declared in kind.columns().items():
            value = part.get(column)
            if isinstance(value, float) and declared.unit:
                stored = parse(f"{value!r} {declared.unit}", declared.unit) if declared.unit == "°C" else value
                assert f"{column} {show(stored, declared.unit)}" in " ".join(words.replace("|", "").split()), (
                    where,
                    column,
                )
        assert "p. 5, figure 7, read off the curve" in words
        assert "vgs_th_tempco" in words[words.index("Not stated") :]


@pytest.mark.parametrize("name", EACH)
def test_the_finding_stands_first(pages: Pages, name: str) -> None:
    answer = pages(name)
    first = flat(answer.text)[:40]
    assert first in flat(answer.markdown)[: 400 + len(first)]
    lead = page_words(answer.html)
    assert first in lead[: lead.index("Date")]
    assert max(map(len, answer.text.splitlines())) <= 80 or str(pages.folder) in answer.text


# ---- the commands


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Callable[..., Ran]:
    monkeypatch.chdir(tmp_path)
    return lambda *words: run(monkeypatch, capsys, *words, "--catalog", filled().place)


COMMANDS = [
    ["list"], ["show", "MOBY-F60-70"], ["find", "led", "--text", "amber"], ["history", "MOBY-F60-70"], ["undo"],
    ["review", "MOBY-F60-70"], ["verify"], ["import", "SHEET", "--preview"],
]  # fmt: skip


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_each_writes_a_page_and_a_log_and_replaces_neither_unasked(
    command: Callable[..., Ran], tmp_path: Path, words: list[str]
) -> None:
    words = [str(filled().sheet) if word == "SHEET" else word for word in words]
    ran = command("catalog", *words, "--html", "p.html", "--markdown", "p.md")
    assert (ran.code in (0, 2) and "wrote p.html" in ran.err) or words[0] == "import"
    page, log = (tmp_path / "p.html").read_text("utf-8"), (tmp_path / "p.md").read_text("utf-8")
    assert page.startswith("<!DOCTYPE html>") and log.startswith("# ")
    assert "from the catalog named above" in page
    again = command("catalog", *words, "--html", "p.html")
    assert again.code == 2 and "p.html already exists" in again.err and not again.out


def test_an_import_that_is_refused_tells_why_on_its_page(command: Callable[..., Ran], tmp_path: Path) -> None:
    ran = command("catalog", "import", filled().sheet, "--html", "p.html")
    assert ran.code == 2 and not ran.out and "five" in ran.err
    assert "Rejected" in (tmp_path / "p.html").read_text("utf-8")


def test_a_sheet_is_not_replaced_by_the_page_about_it(command: Callable[..., Ran]) -> None:
    ran = command("catalog", "import", filled().sheet, "--markdown", filled().sheet, "--force")
    assert ran.code == 2 and "is one of the files that are read here" in ran.err
