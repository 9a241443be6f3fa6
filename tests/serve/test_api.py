"""What programs ask: described as it is answered, and nothing besides."""

from fastapi.testclient import TestClient

from tests.serve.conftest import SMALL

RECORDS = {
    "/api/boards": "FolderRecord",
    "/api/check": "CheckRecord",
    "/api/look": "BoardLookRecord",
    "/api/swap": "SwapRecord",
    "/api/explain": "ExplainRecord",
    "/api/vet": "VetRecord",
    "/api/limits": "LimitsRecord",
    "/api/plan": "PlanRecord",
    "/api/fleet": "FleetRecord",
    "/api/records": "RecordsRecord",
}


def test_the_description_names_the_records_of_the_command_line(client: TestClient) -> None:
    told = client.get("/api/openapi.json").json()
    assert all(path.startswith("/api/") for path in told["paths"])
    for path, record in RECORDS.items():
        good = told["paths"][path]["get"]["responses"]["200"]["content"]["application/json"]["schema"]
        assert good == {"$ref": f"#/components/schemas/{record}"}, path
        assert told["paths"][path]["get"]["summary"] and told["paths"][path]["get"]["description"]


def test_what_is_wrongly_asked_is_told_to_a_program(client: TestClient) -> None:
    for path, code in (
        ("/api/check", 422),
        (f"/api/swap?file={SMALL}", 422),
        (f"/api/swap?file={SMALL}&place=Q9", 400),
        (f"/api/swap?file={SMALL}&place=Q1&most=0", 422),
        (f"/api/check?file={SMALL}&policy=/etc/passwd", 400),
        ("/api/check?file=%00.toml", 404),
        ("/api/nothing", 404),
    ):
        answer = client.get(path)
        assert answer.status_code == code, path
        assert set(answer.json()) == {"error", "details"} and len(answer.json()["error"]) > 20
