"""A document says the same in every rendering, and a rendering that does not know a block says so."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from html import unescape
from typing import Any

import pytest

from partcheck.report import document as d
from partcheck.report.answers import phrases as say
from partcheck.report.render import csv, html, markdown, text
from partcheck.requirement import Verdict
from tests.made import Pages
from tests.pages import ANSWERS


def flat(words: str) -> str:
    """Words without their line breaks, tied spaces and what Markdown escapes."""
    return " ".join(words.replace("\u00a0", " ").replace("\\", "").replace("`", "").split())


def page_words(page: str) -> str:
    """What a reader of a page reads."""
    body = page[page.index("<body>") :]
    return flat(unescape(re.sub(r"<[^>]*>", "", body)))


def renderings(pages: Pages, name: str) -> dict[str, str]:
    answer = pages(name)
    return {"text": flat(answer.text), "markdown": flat(answer.markdown), "page": page_words(answer.html)}


def walk(value: Any, key: str) -> Iterator[str]:
    """Every text in the lists of one name, however deep in a record."""
    if isinstance(value, dict):
        for name, inner in value.items():
            if name == key and isinstance(inner, list):
                yield from (item for item in inner if isinstance(item, str))
            else:
                yield from walk(inner, key)
    elif isinstance(value, list):
        for inner in value:
            yield from walk(inner, key)


@pytest.mark.parametrize("render", [text, markdown, html], ids=lambda module: module.__name__.rpartition(".")[2])
def test_every_rendering_knows_every_block(render: Any) -> None:
    assert set(render.RENDERED) == set(d.Block.__subclasses__())


@dataclass(frozen=True)
class Strange(d.Paragraph):
    """A block that no rendering knows."""


def document(*blocks: d.Block) -> d.Document:
    return d.Document(
        "check", ("A board",), (("Board", ("b",)),), (d.Finding(Verdict.MEETS, (("It meets.",),)), *blocks)
    )


def test_an_unknown_block_raises() -> None:
    for render in (text.render, markdown.render, html.render):
        with pytest.raises(d.UnknownBlock):
            render(document(Strange(("?",))))


def test_a_document_opens_with_its_finding() -> None:
    with pytest.raises(ValueError, match="finding"):
        d.Document("check", ("A board",), (), (d.Paragraph(("no finding",)),))


@pytest.mark.parametrize("name", sorted(ANSWERS))
def test_what_a_verdict_rests_on_stands_in_every_rendering(pages: Pages, name: str) -> None:
    """Cautions and what is not judged whole; assumptions and what is not asked by name; missing values by their first word."""
    record = pages(name).record
    wanted = set(record["cautions"]) | set(record["not_judged"]) | set(walk(record, "notes"))
    # what the place asks with no part in it lacks every part's value; a link of a path is a share of a place
    record = {key: value for key, value in record.items() if key not in ("demands", "path")}
    names = {item.partition(" = ")[0] for item in walk(record, "assumed")} | set(walk(record, "not_asked"))
    names |= {re.split(r"[ :]", item)[0] for item in walk(record, "missing")}
    assert wanted and record["not_judged"]
    for where, words in renderings(pages, name).items():
        for item in wanted:
            assert flat(item) in words, (where, item)
        for item in names:
            assert item in words, (where, item)


@pytest.mark.parametrize("name", sorted(ANSWERS))
def test_the_finding_stands_first(pages: Pages, name: str) -> None:
    answer = pages(name)
    first = flat(answer.text)[:60]
    assert flat(answer.text).startswith(first)
    assert first in flat(answer.markdown)[: 400 + len(first)], "right under the title"
    lead = page_words(answer.html)
    assert first[:40] in lead[: lead.index("Board") + 600]


@pytest.mark.parametrize("width", [60, 80, 120, 200])
def test_no_line_is_wider_than_the_screen(width: int) -> None:
    from partcheck.jobs.check.board import check
    from partcheck.jobs.judge.setup import open_setup
    from partcheck.report.answers.check import document as answer
    from tests.command import BOARD, SAMPLES

    told = answer.document(check(open_setup(BOARD, [SAMPLES])))
    lines = text.render(told, width).splitlines()
    assert max(map(len, lines)) <= min(width, text.WIDEST)


@pytest.mark.parametrize("name", sorted(ANSWERS))
def test_no_answer_is_wider_than_80_columns_where_it_is_piped(pages: Pages, name: str) -> None:
    assert max(map(len, pages(name).text.splitlines())) <= 80


def test_a_narrow_table_becomes_cards_and_loses_nothing() -> None:
    columns = tuple(d.Column(name) for name in ("place", "part", "verdict", "set by", "needs"))
    row = d.Row((("Q1",), ("A-PART-NUMBER-LONG",), (d.Sign(Verdict.FAILS),), ("drain-voltage",), ("60 V",)))
    shown = text.render(document(d.Table("t", columns, (row,))), 40)
    assert "verdict: FAILS" in shown and "needs: 60 V" in shown and max(map(len, shown.splitlines())) <= 40


def test_colour_is_only_where_it_is_asked_for() -> None:
    doc = document(d.Paragraph((d.Sign(Verdict.FAILS),)))
    assert "\x1b[" not in text.render(doc) and "\x1b[1;31mFAILS\x1b[0m" in text.render(doc, 80, True)


def test_a_number_is_never_parted_from_its_unit() -> None:
    for width in range(40, 100):
        shown = text.render(
            document(d.Paragraph(("x" * 17 + " needs 15.45 V (rail 15 V + 450 mV), has 48 V at 85 °C",))), width
        )
        assert not re.search(r"\d\n *(?:V|mV|°C)", shown), shown


@pytest.mark.parametrize("value", [24.04, 0.0999, 15.0, 1234.5, 311.15])
def test_numbers_are_rounded_to_the_safe_side(value: float) -> None:
    from partcheck.units import parse

    for unit, zero in (("V", 0.0), ("A", 0.0), ("°C", 273.15)):
        up, down = (parse(say.safe(value + zero, unit, up=side).text, unit) - zero for side in (True, False))
        assert down <= value * (1 + 1e-9) + 1e-9 and up >= value * (1 - 1e-9) - 1e-9, (unit, down, up)
        assert up - down <= value * 0.0101 + 1e-9


def test_a_table_is_csv_with_exact_numbers() -> None:
    columns = (d.Column("place"), d.Column("needs", right=True))
    rows = (d.Row((("=Q1",), (d.Number(1.23456789, "V", "1.23 V"),))),)
    assert csv.render(document(d.Table("t", columns, rows))).splitlines() == [
        "place,needs,needs_unit",
        "'=Q1,1.23456789,V",
    ]
    with pytest.raises(csv.NoTable):
        csv.render(document())


def test_back_ticks_are_set_as_code_on_a_page_and_in_a_log() -> None:
    made = document(
        d.NotJudged(("Q1: does it turn on through `crss`? State `back_feed`.",)),
        d.Paragraph(("see `x`, not ", d.Name("a`b"))),
    )
    page, log, screen = html.render(made), markdown.render(made), text.render(made)
    assert "through <code>crss</code>? State <code>back_feed</code>." in page and "<bdi>a`b</bdi>" in page
    assert (
        r"through `crss`? State `back\_feed`" not in log and "State `back_feed`." in log and "see `x`, not a\\`b" in log
    )
    assert "through `crss`?" in screen
    odd = document(d.NotJudged(("a name with ` in it and `code`",)))
    assert "a name with ` in it and `code`" in html.render(odd)


def test_an_assumption_that_is_made_or_not_is_told_as_a_sentence() -> None:
    from partcheck.policy import BENCH

    assert say.assumption(BENCH, "track_fit = 1 (IPC)") == "the published track fit is used (track_fit)"
    assert say.assumption(BENCH, "vgs_th_tempco = -0.006 (x)").endswith("-6 mV/K (vgs_th_tempco)")


def test_the_sheet_of_a_check_names_all_that_was_judged_and_no_bars() -> None:
    """Also where values are missing, which the page tells in a table before the places."""
    import io
    from csv import DictReader

    from partcheck.jobs.check.board import check
    from partcheck.jobs.judge.setup import open_setup
    from partcheck.report.answers.check import document as answer
    from tests.command import BOARD, SAMPLES

    found = check(open_setup(BOARD, [SAMPLES], policy="ecss"))
    rows = list(DictReader(io.StringIO(csv.sheet(answer.sheet(found)))))
    assert {row["place"] for row in rows} == {judged.ref for judged in (*found.places, *found.links)}
    assert "bar" not in rows[0] and rows[0]["verdict"] == "FAILS" and rows[-1]["verdict"] == "meets"
    assert {row["part"] for row in rows if row["place"].startswith("rail ")} == {""}
