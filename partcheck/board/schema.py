"""JSON Schema of board files."""

from typing import Any

from partcheck.board.models import Board
from partcheck.board.short import INNER, NAMED

_REF = "#/$defs/"


def entry_schema() -> dict[str, Any]:
    """JSON Schema of a board as it is written out: what each entry has to state in the end."""
    return Board.model_json_schema()


def board_schema() -> dict[str, Any]:
    """JSON Schema of a board file (its TOML as JSON).

    An entry that stands in a range or is like another need not state everything, so that no key of an entry is
    required here; what is missing in the end the reader says.
    """
    schema = entry_schema()
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "partcheck board, format 1"
    for table in NAMED:
        inside = schema["properties"][table]
        entry = inside["additionalProperties"]
        if "oneOf" in entry:
            inside["additionalProperties"] = entry = {"anyOf": entry["oneOf"]}  # with no sort stated several fit
        for each in entry.get("anyOf", [entry]):
            _shortened(schema["$defs"], each["$ref"].removeprefix(_REF), table)
    _poles(schema["$defs"]["Pole"]["properties"]["pole"])
    groups = schema["$defs"]["AtOnce"]["properties"]["of"]
    groups["description"] += '; ranges such as "FV1..FV4" may be among them'
    return schema


def _shortened(models: dict[str, Any], name: str, table: str) -> None:
    """Let a model's table leave out what another states, and say which other."""
    model = models[name]
    model.pop("required", None)
    model["properties"] |= {
        "like": {"type": "string", "description": f"{table} whose keys this one has where it states none itself"},
        "without": {
            "anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}],
            "description": "keys that it does not have, though its range or the one it is like states them",
        },
    }
    for key in INNER:
        for option in model["properties"].get(key, {}).get("anyOf", []):
            if "$ref" in option:
                models[option["$ref"].removeprefix(_REF)].pop("required", None)


def _poles(pole: dict[str, Any]) -> None:
    pole["anyOf"].append({"type": "string", "pattern": r"^\s*\d+\s*\.\.\s*\d+\s*$"})
