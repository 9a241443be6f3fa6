"""What if: what is told at once is what the command tells, a slip is told in its place, and what is kept is a board file."""

import re
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from partcheck.board import read_board
from partcheck.jobs.change.options import Asked
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.vet.vet import vet
from partcheck.requirement import Verdict
from partcheck.serve.bench import Bench
from partcheck.serve.changes import LoadChanges
from partcheck.serve.field import field_of, moves_over, stands
from partcheck.serve.whatif import tried
from partcheck.units import ZERO_CELSIUS
from tests.serve.conftest import SAMPLES, SMALL, VALVES, bench_of, client_of

CHANGED = {"file": SMALL, "load": "FV2", "voltage": "20 V"}


@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    folder = tmp_path_factory.mktemp("changed")
    (folder / SMALL).write_text(VALVES, "utf-8")
    return bench_of(folder)


@pytest.fixture(scope="module")
def asking(known: Bench) -> TestClient:
    return client_of(known)


@pytest.mark.parametrize(("volts", "verdict"), [("20 V", "meets"), ("32 V", "fails")])
def test_what_is_told_at_once_is_the_verdict_of_the_command(
    asking: TestClient, known: Bench, volts: str, verdict: str
) -> None:
    told = asking.get("/what-if/now", params={**CHANGED, "voltage": volts}).text
    found = vet(open_setup(known.folder.root / SMALL, [SAMPLES]), "FV2", Asked(voltage=volts))
    assert found.verdict.word == verdict
    shown = dict(re.findall(r'<tr data-place="([^"]+)">.*?badge v-(\w+)', told))
    assert f"badge v-{found.verdict.word}" in told.partition("</p>")[0]
    assert len(shown) == 4 and shown == {
        judged.ref: judged.verdict.word for judged in found.after if judged.ref in shown
    }
    assert f"rail.V12.voltage = {volts} ±5 %" in told and "<svg" not in told and " style=" not in told


def test_the_mark_moves_over_the_map_as_the_verdicts_do(known: Bench) -> None:
    with known.boards.board(SMALL) as warm:
        made, seen = field_of(warm.setup, "FV2"), set()
        for volts, ohms in ((20, 36), (32, 36), (12, 18), (30, 90)):
            found = tried(warm, LoadChanges("FV2", {"voltage": f"{volts} V", "resistance": f"{ohms} Ω"}, (), ""))
            here = stands(found.after, "FV2")
            assert here is not None and made.amperes[0] < here[1] < made.amperes[-1]
            row, column = (
                int(abs(made_at - at).argmin())
                for made_at, at in zip((made.amperes, made.volts), here[::-1], strict=True)
            )
            fine = min(judged.verdict for judged in found.judged) >= Verdict.TIGHT
            assert made.allowed[row, column] == fine, (volts, ohms)
            seen.add(fine)
        assert moves_over(warm.setup, "FV2") == ("voltage", "resistance") and seen == {True, False}


def test_a_page_without_script_holds_what_its_address_says(asking: TestClient) -> None:
    page = asking.get("/what-if", params={**CHANGED, "ambient": "5..50 °C", "policy": "ecss"}).text
    assert 'name="voltage" value="20 V"' in page and 'name="ambient" value="5..50 °C"' in page
    assert '<option selected value="ecss">' in page and "data-high" in page and "surroundings.ambient" in page
    assert asking.get("/what-if", params={"file": SMALL}).text.count("data-high") >= 4


@pytest.mark.parametrize(
    "wrong", [{"voltage": "20 Ω"}, {"voltage": "much"}, {"load": "FV9"}, {"set": "nonsense"}, {"ambient": "hot"},
              {"voltage": "1 V", "set": "rail.V12.voltage=2 V"}],
)  # fmt: skip
def test_a_value_that_cannot_be_is_told_in_its_place(asking: TestClient, wrong: dict[str, str]) -> None:
    answer = asking.get("/what-if/now", params={**CHANGED, **wrong})
    assert answer.status_code == 200 and answer.text.startswith('<div class="slip" role="alert">')


@pytest.mark.parametrize(
    "wrong", [{"count": "x"}, {"voltage": "9" * 99}, {"policy": "none-such"}, {"file": "../a.toml"}]
)
def test_an_address_that_asks_for_nothing_is_refused(asking: TestClient, wrong: dict[str, str]) -> None:
    assert asking.get("/what-if/now", params={**CHANGED, **wrong}).status_code in (400, 404, 422)


def _save(asking: TestClient, known: Bench, **form: object) -> int:
    sent = {"form_token": known.keys.form, **CHANGED, "ambient": "5..50 °C", "fit": "Q1=MOBY-F60-70", **form}
    return asking.post("/save", data=sent, follow_redirects=False).status_code


def test_a_changed_board_is_kept_with_its_comments_and_replaces_nothing(asking: TestClient, known: Bench) -> None:
    folder = known.folder.root
    assert _save(asking, known, name="hotter") == 303
    made = read_board(folder / "hotter.toml")
    assert made.board.rail["V12"].voltage.typ == 20 and made.board.surroundings.ambient.max == 50 + ZERO_CELSIUS
    assert made.board.role["Q1"].fitted.part_number == "MOBY-F60-70"
    assert "# Two valves; what is written here stays." in made.text and "# the bench supply" in made.text
    before = made.text
    assert _save(asking, known, name="hotter.toml") == 400
    assert _save(asking, known, name=SMALL) == 400
    assert (folder / "hotter.toml").read_text("utf-8") == before and (folder / SMALL).read_text("utf-8") == VALVES


@pytest.mark.parametrize("name", ["../out.toml", "/tmp/out.toml", "none/such.toml", ".hidden.toml", "", "a\\b.toml"])
def test_nothing_is_kept_beside_the_folder(asking: TestClient, known: Bench, name: str) -> None:
    before = sorted(known.folder.root.parent.rglob("*.toml"))
    assert _save(asking, known, name=name) in (400, 404)
    assert sorted(known.folder.root.parent.rglob("*.toml")) == before


def test_nothing_is_kept_where_only_reading_is_allowed(tmp_path: Path) -> None:
    (tmp_path / SMALL).write_text(VALVES, "utf-8")
    bench = bench_of(tmp_path, read_only=True)
    client = client_of(bench)
    assert _save(client, bench, name="new") == 403
    assert 'id="save"' not in client.get("/what-if", params=CHANGED).text
    assert [path.name for path in tmp_path.iterdir()] == [SMALL]
