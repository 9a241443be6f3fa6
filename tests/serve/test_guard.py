"""Who may ask: only who has the key, under the server's own name, from its own pages, with no more than is allowed."""

import asyncio
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from fastapi.responses import Response
from fastapi.testclient import TestClient
from uvicorn.server import ServerState

from partcheck.serve.application import ROUTES, application
from partcheck.serve.bench import Bench
from partcheck.serve.guard import HEADERS
from partcheck.serve.patience import PatientConnection
from partcheck.serve.serving import MOST_BODY
from tests.serve.conftest import AT, bench_of, client_of


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return bench_of(tmp_path_factory.mktemp("empty"))


@pytest.fixture(scope="module")
def known(empty: Bench) -> Iterator[TestClient]:
    with client_of(empty) as made:
        yield made


@pytest.mark.parametrize(
    "path", ["/", "/board?file=a.toml", "/api/boards", "/api/openapi.json", "/?key=wrong", "/?key="]
)
def test_without_the_key_nothing_is_told(empty: Bench, path: str) -> None:
    answer = client_of(empty, key=False).get(path)
    assert answer.status_code == 401
    assert "printed" in answer.text and "set-cookie" not in answer.headers


def test_the_key_becomes_a_cookie_that_no_other_site_sends(empty: Bench) -> None:
    answer = client_of(empty, key=False).get(f"/board?key={empty.keys.key}&file=a%26b.toml", follow_redirects=False)
    cookie = answer.headers["set-cookie"]
    assert answer.status_code == 303 and answer.headers["location"] == "/board?file=a%26b.toml"
    assert "HttpOnly" in cookie and "SameSite=strict" in cookie and empty.keys.key not in cookie


def test_a_key_in_the_address_leads_to_no_other_server(empty: Bench) -> None:
    answer = client_of(empty, key=False).get(f"{AT}//elsewhere.example/?key={empty.keys.key}", follow_redirects=False)
    assert answer.headers["location"].startswith("/elsewhere.example/")


def test_a_program_brings_the_key_as_a_bearer(empty: Bench) -> None:
    client = client_of(empty, key=False)
    assert client.get("/api/boards", headers={"authorization": f"Bearer {empty.keys.key}"}).json() == {"boards": []}
    assert client.get("/api/boards", headers={"authorization": "Bearer x"}).status_code == 401


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost.evil.example:8790", ""])
def test_another_host_is_refused(known: TestClient, host: str) -> None:
    assert known.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("origin", ["https://evil.example", "null", "http://127.0.0.1:1", "http://localhost:8790.evil"])
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_a_page_of_another_origin_is_refused(known: TestClient, origin: str, method: str) -> None:
    assert known.request(method, "/", headers={"origin": origin}).status_code == 403


def test_a_form_of_another_site_is_refused(known: TestClient) -> None:
    assert known.post("/", headers={"sec-fetch-site": "cross-site"}).status_code == 403


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
def test_other_methods_are_refused(known: TestClient, method: str) -> None:
    assert known.request(method, "/").status_code == 405


def test_what_is_too_large_is_refused(known: TestClient) -> None:
    assert known.post("/", content=b"x", headers={"content-length": str(MOST_BODY + 1)}).status_code == 413
    assert known.post("/", content=b"", headers={"content-length": "-1"}).status_code == 400
    assert known.get("/?x=" + "y" * 9000).status_code == 414


@pytest.mark.parametrize("path", ["/", "/nothing", "/static/style.css", "/static/../bench.py", "/api/openapi.json"])
def test_every_response_has_the_headers(known: TestClient, path: str) -> None:
    headers = known.get(path).headers
    assert {name: headers[name] for name in HEADERS if name != "cache-control"} == {
        name: value for name, value in HEADERS.items() if name != "cache-control"
    }
    assert "unsafe" not in headers["content-security-policy"] and "server" not in headers


def test_an_unknown_page_is_told(known: TestClient) -> None:
    answer = known.get("/nothing")
    assert answer.status_code == 404 and "no such page" in answer.text


def test_a_name_of_a_proxy_is_let_in(tmp_path: Path) -> None:
    from dataclasses import replace

    bench = bench_of(tmp_path, read_only=True)
    bench.serving = replace(bench.serving, names=("bench.example",))
    client = client_of(bench, key=False)
    bearer = {"authorization": f"Bearer {bench.keys.key}", "host": "bench.example", "origin": "https://bench.example"}
    assert client.get("/api/boards", headers=bearer).status_code == 200


def _post(bench: Bench, path: str, receive: Callable[[], Awaitable[dict[str, Any]]]) -> int:
    """The status of a POST whose body comes as ``receive`` gives it."""
    headers = {
        "host": AT.removeprefix("http://"),
        "authorization": f"Bearer {bench.keys.key}",
        "content-type": "application/x-www-form-urlencoded",
    }
    scope = {
        "type": "http", "asgi": {"version": "3.0", "spec_version": "2.3"}, "http_version": "1.1", "method": "POST",
        "scheme": "http", "path": path, "raw_path": path.encode(), "query_string": b"", "root_path": "",
        "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
        "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 8790),
    }  # fmt: skip
    codes: list[int] = []

    async def send(message: Any) -> None:
        if message["type"] == "http.response.start":
            codes.append(message["status"])

    asyncio.run(application(bench)(scope, receive, send))  # type: ignore[arg-type]
    return codes[0]


def test_a_body_without_end_is_cut_off(empty: Bench) -> None:
    sent = 0

    async def receive() -> dict[str, Any]:
        nonlocal sent
        sent += 1
        return {"type": "http.request", "body": b"x" * 65_536, "more_body": True}

    assert _post(empty, "/save", receive) == 413
    assert sent <= MOST_BODY // 65_536 + 2


def test_a_client_that_keeps_a_body_back_is_not_waited_for(empty: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("partcheck.serve.guard.PATIENCE", 0.05)

    async def receive() -> dict[str, Any]:
        await asyncio.sleep(30)
        raise AssertionError("waited for")

    assert _post(empty, "/save", receive) == 408


WRITING = [route for module in ROUTES for route in module.router.routes if "POST" in route.methods]


@pytest.mark.parametrize("route", WRITING, ids=lambda route: route.path)
def test_every_page_that_writes_wants_the_token_of_a_form(known: TestClient, route: Any) -> None:
    assert known.post(route.path, data={"form_token": "x"}).status_code == 403
    assert known.post(route.path).status_code == 403


def test_a_connection_on_which_no_request_comes_is_closed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(PatientConnection, "patience", 0.2)
    config = uvicorn.Config(Response("fine"), http=PatientConnection, lifespan="off", log_config=None)
    config.load()

    async def told(sent: bytes) -> bytes:
        made = await asyncio.get_running_loop().create_server(
            lambda: PatientConnection(config=config, server_state=ServerState(), app_state={}), "127.0.0.1", 0
        )
        async with made:
            reader, writer = await asyncio.open_connection(*made.sockets[0].getsockname())
            writer.write(sent)
            read = await asyncio.wait_for(reader.read(), 20)
            writer.close()
            return read

    whole = b"GET / HTTP/1.1\r\nHost: a\r\n\r\n"
    assert asyncio.run(told(b"GET / HTTP/1.1\r\nHo")) == b""
    assert asyncio.run(told(b"")) == b""
    assert asyncio.run(told(whole + b"GET / HT")).endswith(b"fine")
