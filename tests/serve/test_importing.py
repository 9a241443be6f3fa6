"""A sheet in a browser: every difference and bad cell before anything is entered, headers mapped, rejects kept."""

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from partcheck.catalog import open_catalog
from partcheck.serve.serving import MOST_BODY
from tests.serve.conftest import bench_of, client_of
from tests.serve.forms import form_of, sent, words_of

GOOD = "part_number,maker,vds_max,quantity\nX1,Acme,60 V,10\nX2,Acme,40 V,3\n"
MIXED = "part_number,maker,vds_max,quantity\nX1,Acme,55 V,12\nX2,Acme,60 A,3\nX3,Acme,30 V,1\n"
AGAIN, ENTER, REJECTS = (f"/catalog/import/{what}" for what in ("again", "enter", "rejects"))


@pytest.fixture(scope="module")
def there(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("catalog") / "catalog.sqlite"


@pytest.fixture(scope="module")
def browser_of_it(there: Path, folder: Path) -> Iterator[TestClient]:
    with client_of(bench_of(folder, catalog=str(there))) as made:
        yield made


@pytest.fixture
def path(there: Path) -> Path:
    """Where the catalog is to be; nothing is there yet."""
    for each in there.parent.iterdir():
        each.unlink()
    return there


@pytest.fixture
def page_of(browser_of_it: TestClient, path: Path) -> TestClient:
    return browser_of_it


def brought(client: TestClient, text: str | bytes, name: str = "mosfet.csv", **said: str) -> Any:
    fields = form_of(client.get("/catalog/import").text, "/catalog/import") | said
    return client.post("/catalog/import", data=fields, files={"sheet": (name, text)})


def numbers(path: Path) -> dict[str, float]:
    with open_catalog(path) as catalog:
        return {part.part_number: part.number("vds_max") for part in catalog.parts("mosfet")}


def test_a_sheet_is_shown_first_and_entered_when_it_is_said(page_of: TestClient, path: Path) -> None:
    page = brought(page_of, GOOD)
    assert "2 parts would be added" in words_of(page.text) and not path.exists()
    done = sent(page_of, page.text, ENTER, by="Kim")
    assert "2 parts added" in words_of(done.text) and numbers(path) == {"X1": 60.0, "X2": 40.0}
    with open_catalog(path) as catalog:
        assert catalog.entries("X1")["mosfet", "X1", "Acme"][0].who == "Kim"
    told = sent(page_of, page.text, ENTER)
    assert "not here any more" in words_of(told.text)  # what was entered is forgotten


def test_differences_and_bad_cells(page_of: TestClient, path: Path) -> None:
    sent(page_of, brought(page_of, GOOD).text, ENTER)
    page = brought(page_of, MIXED).text
    said = words_of(page)
    assert "60 V -> 55 V" in said and "10 -> 12" in said and "mosfet.csv row 3, column vds_max: '60 A'" in said
    refused = sent(page_of, page, ENTER)
    assert refused.status_code == 400 and numbers(path) == {"X1": 60.0, "X2": 40.0}
    rows = sent(page_of, page, REJECTS)
    assert "X2,Acme,60 A,3" in rows.text and "X1" not in rows.text and "rejects-mosfet.csv" in str(rows.headers)
    done = sent(page_of, page, ENTER, keep_good="yes")
    assert "1 rejected row was left out" in words_of(done.text)
    assert numbers(path) == {"X1": 55.0, "X2": 40.0, "X3": 30.0}
    assert "X2,Acme,60 A,3" in sent(page_of, done.text, REJECTS).text
    assert "import by" in words_of(page_of.get("/catalog/undo").text)


def test_what_changed_meanwhile_is_shown_again(page_of: TestClient, path: Path) -> None:
    sent(page_of, brought(page_of, GOOD).text, ENTER)
    page = brought(page_of, GOOD.replace("60 V", "50 V")).text
    sent(page_of, brought(page_of, GOOD.replace("60 V", "58 V")).text, ENTER)
    told = sent(page_of, page, ENTER)
    assert told.status_code == 400 and "in another way than was shown" in told.text and "58 V -&gt; 50 V" in told.text
    assert numbers(path)["X1"] == 58.0
    sent(page_of, told.text, ENTER)
    assert numbers(path)["X1"] == 50.0


def test_headers_are_mapped_in_the_page(page_of: TestClient, path: Path) -> None:
    text = "Type;Brand;Volts;R at 4V5;Shelf\nX1;Acme;60;45;A3\n"
    page = brought(page_of, text, "list 7.csv")
    assert "holds no parts that could be entered" in words_of(page.text) and ENTER not in page.text
    mapped = {
        "m__0__holds": "mosfet", "m__0__0__column": "part_number", "m__0__1__column": "maker",
        "m__0__2__column": "vds_max", "m__0__2__unit": "V", "m__0__3__column": "rds_on.max", "m__0__3__unit": "mΩ",
        "m__0__3__at": "vgs = 4.5 V", "m__0__4__column": "nothing",
    }  # fmt: skip
    page = sent(page_of, page.text, AGAIN, m__0__holds="mosfet")
    assert form_of(page.text, AGAIN)["m.0.1.column"] == "maker"  # what is plain is filled in
    wrong = sent(page_of, page.text, AGAIN, **(mapped | {"m__0__3__at": "4.5 V"}))
    assert wrong.status_code == 400 and "vgs = 4.5 V" in wrong.text
    page = sent(page_of, page.text, AGAIN, **mapped)
    assert "1 part would be added" in words_of(page.text)
    sent(page_of, page.text, ENTER)
    with open_catalog(path) as catalog:
        part = catalog.part("X1")
    assert part.number("vds_max") == 60.0 and part.table("rds_on").columns["max"] == (0.045,)


def test_a_workbook_and_files_that_go_together(page_of: TestClient, path: Path, tmp_path: Path) -> None:
    from openpyxl import Workbook

    book, out = Workbook(), io.BytesIO()
    book.active.title = "mosfet"
    for row in (("part_number", "maker", "vds_max"), ("X1", "Acme", 60)):
        book.active.append(row)
    book.save(out)
    sent(page_of, brought(page_of, out.getvalue(), "parts.xlsx").text, ENTER)
    fields = form_of(page_of.get("/catalog/import").text, "/catalog/import")
    points = "part_number,maker,vgs,max\nX2,Acme,4.5 V,45 mΩ\n"
    files = [("sheet", ("mosfet.csv", GOOD)), ("sheet", ("mosfet.rds_on.csv", points))]
    sent(page_of, page_of.post("/catalog/import", data=fields, files=files).text, ENTER)
    with open_catalog(path) as catalog:
        assert (
            catalog.part("X2").table("rds_on").columns["max"] == (0.045,) and catalog.part("X1").number("vds_max") == 60
        )


@pytest.mark.parametrize("name", ["../../mosfet.csv", "C:\\sheets\\mosfet.csv", "/etc/mosfet.csv"])
def test_a_name_leads_nowhere(page_of: TestClient, name: str) -> None:
    assert "2 parts would be added" in words_of(brought(page_of, GOOD, name).text)


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("parts.exe", GOOD),
        (".csv", GOOD),
        ("mosfet.csv", b""),
        ("mosfet.csv", b"\0\xff"),
        ("mosfet.xlsx", b"PK\3\4"),
        ("parts.json", "[" * 5000),
    ],
)
def test_what_is_no_sheet_is_refused_in_a_sentence(page_of: TestClient, path: Path, name: str, text: Any) -> None:
    page = brought(page_of, text, name)
    assert page.status_code == 400 and 'role="alert"' in page.text and "/tmp" not in page.text
    assert not path.exists()


def test_too_large_is_refused(page_of: TestClient) -> None:
    assert brought(page_of, b"x" * (MOST_BODY + 1)).status_code == 413


def test_markup_in_a_sheet_is_harmless(page_of: TestClient) -> None:
    evil = "<img src=x onerror=alert(1)>"
    page = brought(page_of, f"part_number,maker,{evil}\n{evil},{evil},{evil}\n", f"mosfet {evil}.csv").text
    assert evil not in page and "<img" not in page


def test_read_only_takes_no_sheet(tmp_path: Path, folder: Path) -> None:
    client = client_of(bench_of(folder, catalog=str(tmp_path / "c.sqlite"), read_only=True))
    assert "<form" not in client.get("/catalog/import").text.split("<main")[1]
    for action in ("/catalog/import", AGAIN, ENTER, REJECTS):
        assert client.post(action, data={"form_token": "x"}).status_code == 403


def test_a_catalog_that_was_only_begun_is_gone_on_with(page_of: TestClient, path: Path) -> None:
    """As a kill leaves it: the file is there, and nothing in it."""
    path.touch()
    page = brought(page_of, GOOD)
    assert "2 parts would be added" in words_of(page.text)
    sent(page_of, page.text, ENTER)
    assert numbers(path) == {"X1": 60.0, "X2": 40.0}
