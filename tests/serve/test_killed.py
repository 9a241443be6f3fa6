"""The server is killed while it writes: what is there afterwards is what was there before or after, never half."""

import contextlib
import os
import tempfile
import threading
import time
from pathlib import Path

import httpx2 as httpx
import pytest

from partcheck import scratch
from partcheck.board import read_board
from partcheck.catalog import look_through, open_catalog
from partcheck.errors import NoCatalogYet
from partcheck.scratch import swept
from tests.serve.forms import form_of
from tests.serve.started import started

ROWS = 1500
TRIES = (0.02, 0.12, 0.3)
"""Seconds after a write was sent at which the server is killed."""


def _sheet(volts: int) -> str:
    rows = (f"X{i},Acme,{volts} V,{i}" for i in range(ROWS))
    return "\n".join(["part_number,maker,vds_max,quantity", *rows]) + "\n"


def _shown(client: httpx.Client, volts: int) -> dict[str, str]:
    fields = form_of(client.get("/catalog/import").text, "/catalog/import")
    page = client.post("/catalog/import", data=fields, files={"sheet": ("mosfet.csv", _sheet(volts))})
    return form_of(page.text, "/catalog/import/enter")


def _send(client: httpx.Client, action: str, fields: dict[str, str]) -> threading.Thread:
    def send() -> None:
        with contextlib.suppress(httpx.HTTPError):  # the server is gone
            client.post(action, data=fields)

    made = threading.Thread(target=send)
    made.start()
    return made


def _begun(catalog: Path) -> bool:
    """Whether there is a catalog yet; what was begun of one is gone on with by the next import."""
    try:
        open_catalog(catalog).close()
    except NoCatalogYet:
        return False
    return True


def test_an_import_and_a_board_are_whole_or_not_there(tmp_path: Path) -> None:
    boards, catalog = tmp_path / "boards", tmp_path / "catalog.sqlite"
    boards.mkdir()
    for volts, after in enumerate(TRIES, 50):
        with started(boards, catalog) as server, httpx.Client(base_url=server.at, timeout=60) as client:
            client.get(f"/?key={server.key}", follow_redirects=True)
            fields = _shown(client, volts)
            new = {"form_token": fields["form_token"], "like": "sixteen-channel-driver", "do": "write"}
            sent = [
                _send(client, "/catalog/import/enter", fields),
                _send(client, "/board/new", new | {"file": f"b{volts}.toml"}),
            ]
            time.sleep(after)
            server.kill()
            for each in sent:
                each.join(60)
        if _begun(catalog):
            found, _ = look_through(str(catalog))
            assert not found.findings
            with open_catalog(catalog) as opened:
                stated = {part.number("vds_max") for part in opened.parts("mosfet")}
                assert len(stated) <= 1 and opened.count()["mosfet"] in (0, ROWS)
        for board in boards.glob("*.toml"):
            if not board.name.startswith("."):
                assert len(read_board(board).board.load) == 16


def test_a_request_to_end_takes_uploads_along(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "boards").mkdir()
    (tmp_path / "kept").mkdir()
    monkeypatch.setenv("TMPDIR", str(tmp_path / "kept"))
    with (
        started(tmp_path / "boards", tmp_path / "catalog.sqlite") as server,
        httpx.Client(base_url=server.at, timeout=60) as client,
    ):
        client.get(f"/?key={server.key}", follow_redirects=True)
        _shown(client, 50)
        assert list((tmp_path / "kept").iterdir())
        server.process.terminate()
        assert server.process.wait(30) == 0
    assert not list((tmp_path / "kept").iterdir())


def test_what_a_killed_server_held_goes_with_the_next_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("boards", "kept"):
        (tmp_path / name).mkdir()
    monkeypatch.setenv("TMPDIR", str(tmp_path / "kept"))
    with (
        started(tmp_path / "boards", tmp_path / "catalog.sqlite") as server,
        httpx.Client(base_url=server.at, timeout=60) as client,
    ):
        client.get(f"/?key={server.key}", follow_redirects=True)
        _shown(client, 50)
        server.kill()
    (left,) = (tmp_path / "kept").iterdir()
    os.utime(left, (time.time() - 60,) * 2)
    held = scratch.folder_in(tmp_path / "kept")  # that of a program which still runs stays
    with monkeypatch.context() as now, swept() as told:
        now.setattr(tempfile, "tempdir", str(tmp_path / "kept"))
        with held as other:
            os.utime(other, (time.time() - 60,) * 2)
            assert told == [str(left)]
            assert scratch.tidy() == []
            assert list((tmp_path / "kept").iterdir()) == [other]
