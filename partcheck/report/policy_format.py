"""The format of a policy file: its JSON Schema and the tables of its document."""

from collections.abc import Iterator, Mapping
from typing import Any

from partcheck.policy import ASSUMED, POLICIES, VALUES, PolicyValue
from partcheck.units import show


def policy_schema() -> dict[str, Any]:
    """JSON Schema of a policy file (its TOML as JSON)."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "partcheck policy, format 1",
        "type": "object",
        "additionalProperties": False,
        "required": ["name", "source"],
        "properties": {
            "name": {"type": "string", "description": "name of the policy"},
            "title": {"type": "string", "description": "what it is, in a few words"},
            "base": {"type": "string", "description": "policy to start from, by name or as a TOML file"},
            "source": {"type": "string", "minLength": 1, "description": "where its numbers come from"},
            "values": _table(VALUES, "shares of ratings, margins and limits"),
            "assumed": _table(ASSUMED, "what may stand in for a value that a datasheet does not state"),
        },
    }


def _table(declared: Mapping[str, PolicyValue], about: str) -> dict[str, Any]:
    keys = {
        name: {"anyOf": [{"type": "string"}, {"type": "number"}], "description": value.meaning, "x-takes": takes(value)}
        for name, value in declared.items()
    }
    return {"type": "object", "description": about, "additionalProperties": False, "properties": keys}


def takes(value: PolicyValue) -> str:
    """What a value takes: its unit and range."""
    return f"{value.unit or 'a number, or in %'}, {show(value.low, value.unit)} to {show(value.high, value.unit)}"


def policy_tables() -> Iterator[str]:
    """Every value with what it is, its range, and what each shipped policy has."""
    names = list(POLICIES)
    for title, declared in (("[values]", VALUES), ("[assumed]", ASSUMED)):
        yield from (
            f"## {title}",
            "",
            f"| key | is | takes | {' | '.join(names)} |",
            f"|---|---|---|{'---|' * len(names)}",
        )
        for name, value in declared.items():
            cells = [_in_force(policy, name, title == "[values]") for policy in names]
            yield f"| `{name}` | {value.meaning} | {takes(value)} | {' | '.join(cells)} |"
        yield ""


def _in_force(policy: str, name: str, is_value: bool) -> str:
    held = POLICIES[policy].value(name) if is_value else POLICIES[policy].assumption(name)
    unit = (VALUES if is_value else ASSUMED)[name].unit
    return "-" if held != held else show(held, unit)
