"""A server of the sample boards, asked without a network."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from partcheck.serve.application import application
from partcheck.serve.bench import Bench
from partcheck.serve.serving import Serving

FILE, SMALL = "bottling-bench.toml", "valves.toml"
VALVES = """# Two valves; what is written here stays.
format = 1
name = "two valves"
surroundings = { ambient = "5..45 °C" }
rail.V12 = { voltage = "12 V ±5 %" }   # the bench supply
drive."OUT1..OUT2" = { high = "4.8..5..5.2 V", low = "0..0.2 V", source_resistance = "20..60 Ω" }

[load."FV1..FV2"]
sort = "coil"
rail = "V12"
resistance = "36 Ω ±8 %"   # cold
inductance = "60 mH ±20 %"
rate = "1 /s"

[role."Q1..Q2"]
role = "mosfet-switch"
fitted = "TALQ-30N52"
drive = "OUT{n}"
load = "FV{n}"
gate_resistor = "470 Ω ±5 %"
pulldown = "100 kΩ ±5 %"

[role."D1..D2"]
role = "clamp"
fitted = "ARFJ-S60A"
load = "FV{n}"
"""
"""A small board, judged in a moment."""
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
    shutil.copy(SAMPLES / FILE, made)
    (made / SMALL).write_text(VALVES, "utf-8")
    return made


@pytest.fixture(scope="module")
def bench(folder: Path) -> Bench:
    return bench_of(folder)


@pytest.fixture(scope="module")
def client(bench: Bench) -> Iterator[TestClient]:
    with client_of(bench) as made:
        yield made
