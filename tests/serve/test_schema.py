"""Whatever the OpenAPI schema allows is answered as it says: no fault of the server, no answer of another form."""

import os
import shutil
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from partcheck.catalog import open_catalog
from partcheck.parts import read_parts
from partcheck.serve.application import application
from tests.serve.conftest import AT, SAMPLES, bench_of

schemathesis = pytest.importorskip("schemathesis")
from schemathesis.checks import not_a_server_error  # noqa: E402
from schemathesis.specs.openapi.checks import (  # noqa: E402
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

CHECKS = [not_a_server_error, content_type_conformance, response_schema_conformance, status_code_conformance]
EXAMPLES = 200 if os.environ.get("PARTCHECK_LONG") else 4
KEY: dict[str, str] = {}


@pytest.fixture(scope="module")
def schema(tmp_path_factory: pytest.TempPathFactory) -> Any:
    made = tmp_path_factory.mktemp("schema")
    with open_catalog(made / "catalog.sqlite", create=True) as catalog:
        catalog.add(read_parts(SAMPLES / "terminal.csv"), "Jo", "2024-05-31")
    (made / "boards").mkdir()
    shutil.copy(SAMPLES / "bottling-bench.toml", made / "boards")
    bench = bench_of(made / "boards", catalog=str(made / "catalog.sqlite"))
    KEY.update({"authorization": f"Bearer {bench.keys.key}", "host": AT.removeprefix("http://")})
    return schemathesis.openapi.from_asgi("/api/openapi.json", application(bench), headers=KEY)


def test_whatever_is_asked(schema: Any) -> None:
    """Of every path that the schema has, whatever page it is from."""
    asked = 0
    for made in schema.get_all_operations():
        operation = made.ok()

        @settings(
            max_examples=EXAMPLES,
            deadline=None,
            derandomize=True,
            database=None,
            phases=[Phase.explicit, Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy())
        def ask(case: Any) -> None:
            case.call_and_validate(headers=KEY, checks=CHECKS)

        ask()
        asked += 1
    assert asked >= 9
