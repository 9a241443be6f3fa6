"""The server beside a catalog on a database server: no page, no answer and no line that it prints holds the password."""

import shutil
from pathlib import Path

import httpx2 as httpx
import pytest

from partcheck.api import open_catalog
from partcheck.parts import read_parts
from tests.command import BOARD, SAMPLES
from tests.serve.started import started
from tests.server import database

SECRET = "Wr0ngHorse"
PAGES = (
    "/", "/catalog", "/catalog/part?part_number=NONE", "/catalog/part?part_number=TALQ-60N80", "/catalog/review",
    "/catalog/undo", "/catalog/import", "/catalog/part/add?kind=mosfet", "/board?board=bench.toml", "/records",
    "/place?board=bench.toml&ref=Q2", "/place?board=bench.toml&ref=NONE", "/board?board=none.toml", "/no-such-page",
    "/api/catalog/find?kind=nonsense", "/api/check?board=bench.toml", "/api/records", "/fleet?gone=TALQ-60N80",
)  # fmt: skip


@pytest.mark.parametrize("way", ["address", "option"])
def test_neither_pages_nor_log_hold_the_password(tmp_path: Path, way: str) -> None:
    shutil.copy(BOARD, tmp_path / "bench.toml")
    with database() as where:
        address = {
            "address": where.replace("partcheck@", f"partcheck:{SECRET}@"),
            "option": f"{where.replace('partcheck@', '')}?user=partcheck&password={SECRET}",
        }[way]
        with open_catalog(where, create=True) as catalog:
            catalog.add(read_parts(SAMPLES / "mosfet.csv"), "Jo", "2024-05-31")
        with started(tmp_path, address) as server, httpx.Client(base_url=server.at, timeout=60) as client:
            client.get(f"/?key={server.key}", follow_redirects=True)
            told = [client.get(page) for page in PAGES]
            server.process.terminate()
            assert server.process.wait(30) == 0
            assert server.process.stderr is not None
            told_log = server.process.stderr.read()
    statuses = {page: answer.status_code for page, answer in zip(PAGES, told, strict=True)}
    assert statuses["/catalog"] == 200 and statuses["/no-such-page"] == 404, statuses
    assert "TALQ-60N80" in told[PAGES.index("/catalog")].text
    for page, answer in zip(PAGES, told, strict=True):
        assert SECRET not in answer.text + repr(answer.headers), page
        assert answer.status_code < 500, page
    assert SECRET not in told_log
