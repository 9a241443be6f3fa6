"""The catalog in a browser: find, enter from nothing, edit in two tabs, undo; the same locks and history as commands."""

import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from partcheck.catalog import open_catalog
from partcheck.parts import read_parts
from partcheck.parts.documents import to_record
from tests.serve.conftest import SAMPLES, bench_of, client_of
from tests.serve.forms import form_of, sent, words_of

M30 = {"kind": "mosfet", "maker": "Talvik", "part": "TALQ-30N52"}


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("catalog") / "catalog.sqlite"
    with open_catalog(made.with_name("first.sqlite"), create=True) as catalog:
        catalog.add(read_parts(SAMPLES), "Jo", "2024-05-31T10:00:00+00:00")
        catalog.backup(made)  # one file that can be copied
    return made


@pytest.fixture(scope="module")
def there(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("written") / "catalog.sqlite"


@pytest.fixture(scope="module")
def writer(there: Path, folder: Path) -> Iterator[TestClient]:
    with client_of(bench_of(folder, catalog=str(there))) as made:
        yield made


@pytest.fixture
def path(there: Path, filled: Path) -> Path:
    """A catalog of the samples, as new."""
    for each in there.parent.iterdir():
        each.unlink()
    return Path(shutil.copy(filled, there))


@pytest.fixture
def browser_of(writer: TestClient, path: Path) -> TestClient:
    return writer


@pytest.fixture(scope="module")
def known(filled: Path, folder: Path) -> Iterator[TestClient]:
    with client_of(bench_of(folder, catalog=str(filled), read_only=True)) as made:
        yield made


def test_a_search_as_typed(known: TestClient) -> None:
    page = known.get("/catalog", params={"kind": "mosfet", "where": "vds_max >= 60 V\n\neas missing", "sort": "-price"})
    assert "eas missing" in page.text and 'href="/catalog/part?kind=mosfet&amp;maker=' in page.text
    told = known.get(
        "/api/catalog/find", params={"kind": "mosfet", "where": "vds_max >= 60 V", "show": "vds_max"}
    ).json()
    assert told["total"] == len(told["parts"]) > 2
    assert all(part["values"]["vds_max"] >= 60 for part in told["parts"])


def test_what_cannot_be_asked_is_told_and_stays_in_its_field(known: TestClient) -> None:
    page = known.get("/catalog", params={"kind": "mosfet", "where": "vds_mx >= 60 V"})
    assert page.status_code == 400 and "did you mean vds_max?" in words_of(page.text)
    assert form_of(page.text, "/catalog")["where"] == "vds_mx >= 60 V"
    assert known.get("/catalog?stock=many").status_code == 400
    assert "many" in known.get("/api/catalog/find?stock=many").json()["error"]


def test_all_parts_page_by_page(known: TestClient) -> None:
    pages = [known.get(f"/catalog?page={number}").text for number in (1, 2, 3, 4)]
    numbers = [page.count('<th scope="row"><a href="/catalog/part?') for page in pages]
    assert numbers[0] == 50 and sum(numbers) == len(read_parts(SAMPLES))
    assert '<a href="/catalog?page=2">Next</a>' in pages[0] and ">Next</a>" not in pages[3]
    assert known.get("/catalog?as=csv").text.count("\n") == sum(numbers) + 1


def test_a_part_with_what_is_open(known: TestClient) -> None:
    page = known.get("/catalog/part", params=M30).text
    assert "TALQ-30N52" in page and "As a mosfet-switch" in page
    assert "Look for doubtful values" in page and "<h2>Doubtful" not in page
    assert "<h2>Doubtful" in known.get("/catalog/part", params=M30 | {"looked": "true"}).text
    assert "<h2>Doubtful" in known.get("/catalog/part/doubts", params=M30).text
    told = known.get("/api/catalog/part", params=M30).json()
    assert told["parts"][0]["part_number"] == "TALQ-30N52"
    assert known.get("/catalog/part", params={"part": "TALQ-30N5"}).status_code == 400


def test_a_part_from_nothing(tmp_path: Path, folder: Path) -> None:
    """In a catalog that is not there yet."""
    made = tmp_path / "new.sqlite"
    client = client_of(bench_of(folder, catalog=str(made)))
    assert "there is no catalog" in words_of(client.get("/catalog").text)
    form = client.get("/catalog/part/add?kind=mosfet").text
    values = {
        "v__part_number": "X1", "v__maker": "Acme", "v__vds_max": "60 V @ Tj = 25 °C", "v__vgs_th_min": "1",
        "v__vgs_th_max": "2500 mV", "v__rds_on": "4.5 V; 2 A; -; 45 mΩ\n10 V; 2 A; -; 28 mΩ",
        "source__document": "DS-1", "source__page": "3", "by": "Kim",
    }  # fmt: skip
    wrong = sent(
        client, form, "/catalog/part/save", **(values | {"v__vds_max": "60 A", "v__rds_on": "4.5 V; 2 A\n1;2;3;4"})
    )
    assert wrong.status_code == 400 and not made.exists()
    assert "line 1: 2 values for the 4 columns" in words_of(wrong.text)
    assert form_of(wrong.text, "/catalog/part/save")["v.vds_max"] == "60 A"  # as typed, to be mended
    page = sent(client, wrong.text, "/catalog/part/save", **values)
    assert page.status_code == 200 and page.url.params["said"] == "entered"
    with open_catalog(made) as catalog:
        part = catalog.part("X1")
        assert (part.number("vds_max"), part.number("vgs_th_max")) == (60.0, 2.5)
        assert part.table("rds_on").columns["max"] == (0.045, 0.028)
        assert part.provenance["vds_max"].condition == "Tj = 25 °C"
        assert part.provenance["vds_max"].document == "DS-1" and part.provenance["vds_max"].entered_by == "Kim"
        assert catalog.entries("X1")["mosfet", "X1", "Acme"][0].what == "add"
    again = sent(client, form, "/catalog/part/save", **values)
    assert again.status_code == 400 and "in the catalog already" in words_of(again.text)


def test_a_form_sent_as_it_stands_changes_nothing(browser_of: TestClient, path: Path) -> None:
    with open_catalog(path) as catalog:
        parts = [next(iter(catalog.parts(kind))) for kind in ("mosfet", "bjt", "led", "diode", "regulator", "terminal")]
    for part in parts:
        named = {"kind": part.kind, "maker": part.maker, "part": part.part_number}
        page = sent(browser_of, browser_of.get("/catalog/part/edit", params=named).text, "/catalog/part/save")
        assert page.url.params["said"] == "same", part.name


def test_one_value_is_changed_and_the_rest_is_as_it_was(browser_of: TestClient, path: Path) -> None:
    form = browser_of.get("/catalog/part/edit", params=M30).text
    with open_catalog(path) as catalog:
        before = to_record(catalog.part("TALQ-30N52"))
    assert sent(browser_of, form, "/catalog/part/save", v__price="0.55", by="Kim").url.params["said"] == "changed"
    with open_catalog(path) as catalog:
        after = to_record(catalog.part("TALQ-30N52"))
        assert catalog.entries("TALQ-30N52")["mosfet", "TALQ-30N52", "Talvik"][0].who == "Kim"
    changed = {name for name in {**before, **after} if before.get(name) != after.get(name)}
    assert changed == {"price", "provenance"} and after["price"] == 0.55
    page = browser_of.get("/catalog/part/history", params=M30).text
    assert "price" in page and "Kim" in page


def test_two_tabs_on_one_part(browser_of: TestClient, path: Path) -> None:
    """The second is told what the first changed; a value that both changed asks whose stands."""
    first, second = (browser_of.get("/catalog/part/edit", params=M30).text for _ in range(2))
    sent(browser_of, first, "/catalog/part/save", v__price="0.55", v__quantity="10", by="Kim")
    told = sent(browser_of, second, "/catalog/part/save", v__price="0.60", v__notes="shelf 4", by="Jo")
    assert told.status_code == 409
    said = words_of(told.text)
    assert "was changed by Kim" in said and "quantity became 10" in said and "theirs: 0.55" in said
    fields = form_of(told.text, "/catalog/part/save")
    assert (fields["v.price"], fields["v.quantity"], fields["v.notes"]) == ("0.60", "10", "shelf 4")
    assert fields["by"] == "Jo"
    undecided = sent(browser_of, told.text, "/catalog/part/save")
    assert undecided.status_code == 400 and "choose whose value to keep" in words_of(undecided.text)
    done = sent(browser_of, told.text, "/catalog/part/save", whose__price="theirs", by="Jo")
    assert done.url.params["said"] == "changed"
    with open_catalog(path) as catalog:
        part = catalog.part("TALQ-30N52")
    assert (part.number("price"), part.number("quantity"), part.word("notes")) == (0.55, 10.0, "shelf 4")
    yours = sent(browser_of, second, "/catalog/part/save", v__price="0.70")
    assert sent(browser_of, yours.text, "/catalog/part/save", whose__price="yours").url.params["said"] == "changed"
    with open_catalog(path) as catalog:
        assert catalog.part("TALQ-30N52").number("price") == 0.70


def test_copy_retire_and_undo(browser_of: TestClient, path: Path) -> None:
    form = browser_of.get("/catalog/part/copy", params=M30 | {"new": "TALQ-30N52X"}).text
    assert form_of(form, "/catalog/part/save")["v.price"] == ""
    assert sent(browser_of, form, "/catalog/part/save").url.params["said"] == "entered"
    page = browser_of.get("/catalog/part", params=M30).text
    retired = sent(browser_of, page, "/catalog/part/retire", reason="out of production")
    assert retired.url.params["said"] == "retired"
    undo = browser_of.get("/catalog/undo").text
    assert "retire by" in words_of(undo)
    assert sent(browser_of, undo, "/catalog/undo").status_code == 200
    again = sent(browser_of, undo, "/catalog/undo")  # the form is about a change that is taken back already
    assert again.status_code == 400 and "meanwhile" in again.text
    with open_catalog(path) as catalog:
        assert catalog.part("TALQ-30N52").word("status") != "obsolete"
        assert catalog.part("TALQ-30N52X").number("vds_max") == catalog.part("TALQ-30N52").number("vds_max")


def test_what_is_typed_is_checked_without_saving(browser_of: TestClient, path: Path) -> None:
    fields = form_of(browser_of.get("/catalog/part/add?kind=led").text, "/catalog/part/save")
    stamp = path.stat().st_mtime_ns
    told = browser_of.post("/catalog/part/check", data=fields | {"v.vr_max": "20 kA"}).json()
    assert "vr_max" in told["slips"] and "part_number" in told["slips"]
    told = browser_of.post(
        "/catalog/part/check", data=fields | {"v.part_number": "L", "v.maker": "A", "v.vr_max": "5 V"}
    ).json()
    assert not told["slips"] and "vf" in told["missing"]["indicator"]
    assert path.stat().st_mtime_ns == stamp


def test_read_only_shows_and_refuses(known: TestClient, filled: Path) -> None:
    stamp = filled.stat().st_mtime_ns
    page = known.get("/catalog/part/edit", params=M30).text
    assert "Save the part" not in page and "read only" in page
    for action in ("/catalog/part/save", "/catalog/part/check", "/catalog/part/retire", "/catalog/undo"):
        assert known.post(action, data={"form_token": "x"}).status_code == 403
    assert filled.stat().st_mtime_ns == stamp


def test_a_write_needs_the_token_of_this_run(browser_of: TestClient) -> None:
    fields = form_of(browser_of.get("/catalog/part/edit", params=M30).text, "/catalog/part/save")
    assert (
        browser_of.post("/catalog/part/save", data=fields | {"form_token": "earlier", "v.price": "9"}).status_code
        == 403
    )


@pytest.mark.parametrize("evil", ["<script>alert(1)</script>", '" onfocus=alert(1) x="', "</textarea><img src=x>"])
def test_names_from_outside_are_harmless(browser_of: TestClient, evil: str) -> None:
    form = browser_of.get("/catalog/part/add?kind=led").text
    part = sent(browser_of, form, "/catalog/part/save", v__part_number=evil, v__maker=evil, v__notes=evil)
    assert part.url.params["said"] == "entered"
    named = {"kind": "led", "maker": evil, "part": evil}
    for path in (
        "/catalog/part",
        "/catalog/part/edit",
        "/catalog/part/copy",
        "/catalog/part/history",
        "/catalog?q=alert&kind=led",
        "/catalog/undo",
    ):
        page = browser_of.get(path, params=named if "/part" in path else None)
        assert page.status_code == 200 and evil not in page.text and "<img src=x" not in page.text


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("base", "{"),
        ("base", "[" * 9000),
        ("base", json.dumps({"kind": "led"})),
        ("kind", "tube"),
        ("what", "x"),
        ("v.notes", "n" * 30000),
    ],
)
def test_a_broken_form_is_refused_in_a_sentence(browser_of: TestClient, field: str, text: str) -> None:
    fields = form_of(browser_of.get("/catalog/part/edit", params=M30).text, "/catalog/part/save")
    page = browser_of.post("/catalog/part/save", data=fields | {field: text})
    assert page.status_code == 400 and 'role="alert"' in page.text


def test_doubtful_values(known: TestClient) -> None:
    assert known.get("/catalog/review?kind=mosfet").status_code == 200
    assert known.get("/api/catalog/review?kind=led").json()["job"] == "review"
    assert known.get("/catalog/review?kind=tube").status_code == 400
