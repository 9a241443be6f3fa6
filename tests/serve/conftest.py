"""A server of the sample boards, asked without a network."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from partcheck.serve.application import application
from partcheck.serve.bench import Bench
from partcheck.serve.serving import Serving

SAMPLES = Path(__file__).parents[2] / "catalog_samples"
PORT = 8790
AT = f"http://127.0.0.1:{PORT}"


def bench_of(folder: Path, *, read_only: bool = False, catalog: str | None = None) -> Bench:
    return Bench(Serving(folder, (SAMPLES,), catalog, None, read_only, port=PORT))


def client_of(bench: Bench, key: bool = True) -> TestClient:
    """A browser; with ``key`` it has opened the address that was printed."""
    client = TestClient(application(bench), base_url=AT, raise_server_exceptions=False)
    if key:
        assert client.get(f"/?key={bench.keys.key}").status_code == 200
    return client


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("boards")
    shutil.copy(SAMPLES / "bottling-bench.toml", made)
    return made


@pytest.fixture(scope="module")
def bench(folder: Path) -> Bench:
    return bench_of(folder)


@pytest.fixture(scope="module")
def client(bench: Bench) -> Iterator[TestClient]:
    with client_of(bench) as made:
        yield made
