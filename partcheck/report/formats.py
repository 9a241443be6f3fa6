"""The documents of the formats, made from the declarations, so that they cannot say anything else.

``partcheck schema board --readable`` prints one; ``partcheck/formats/*.md`` hold them, and a test keeps them current.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from partcheck.board.schema import entry_schema
from partcheck.parameters import KINDS, Axis, Parameter, Table
from partcheck.parameters.common import IDENTITY
from partcheck.report.format_examples import default, example
from partcheck.roles import LINK_ROLES, ROLES
from partcheck.units import show

FOLDER = Path(__file__).parent.parent / "formats"
TABLES = (
    ("Board", "The file itself", ""),
    ("Surroundings", "[surroundings]", "Air, copper and place."),
    ("Limits", "[limits]", "Demands of the whole board; what is left out is not asked."),
    ("ReplacementResistor", "[replacement_resistor]", "The resistors at hand when a value has to change."),
    ("Ground", "[ground]", "The return that all switches share."),
    ("Rail", "[rail.NAME]", "A supply, from outside (`voltage`) or made on the board (`regulator`)."),
    (
        "Cable",
        "Cable, in `feed` of a rail or `cable` of a load",
        'An inline table: `cable = { length = "4 m", wire = "0.75 mm2" }`.',
    ),
    ("Chip", "[chip.NAME]", "A package of drive outputs, with its limits."),
    ("Drive", "[drive.NAME]", ""),
    (
        "AtOnce",
        "[[at_once]]",
        "No more than this many of them are on at once; the largest currents count. A name is in one group only.",
    ),
    ("Coil", '[load.NAME] with sort = "coil"', ""),
    ("Lamp", '[load.NAME] with sort = "lamp"', ""),
    ("Motor", '[load.NAME] with sort = "motor"', ""),
    ("Resistive", '[load.NAME] with sort = "resistive"', ""),
    ("LedString", '[load.NAME] with sort = "led-string"', ""),
    ("LogicInput", '[load.NAME] with sort = "logic-input"', ""),
    ("Capacitive", '[load.NAME] with sort = "capacitive"', ""),
    ("Chopped", "Chopping, in `chopped` of a load or indicator", ""),
    ("MosfetSwitch", '[role.REF] with role = "mosfet-switch"', ""),
    ("NpnSink", '[role.REF] with role = "npn-sink"', ""),
    ("Indicator", '[role.REF] with role = "indicator"', ""),
    ("Clamp", '[role.REF] with role = "clamp"', ""),
    ("Regulator", '[role.REF] with role = "regulator"', ""),
    ("Terminal", '[role.REF] with role = "terminal"', ""),
    ("Pole", "A pole, in `poles` of a terminal", ""),
    ("Track", "[track.NAME]", ""),
)


def _kind_text(schema: dict[str, Any]) -> str:
    """What a key takes, in a few words."""
    if "x-takes" in schema:
        return str(schema["x-takes"])
    if "const" in schema:
        return f"`{schema['const']}`"
    if "enum" in schema:
        return " or ".join(f"`{value}`" for value in schema["enum"])
    if "$ref" in schema:
        return f"a {schema['$ref'].rpartition('/')[2]} table"
    if "anyOf" in schema:
        return " or ".join(_kind_text(s) for s in schema["anyOf"] if s.get("type") != "null")
    if "oneOf" in schema or "discriminator" in schema:
        return "one of the tables below"
    kind = schema.get("type", "")
    if kind == "array":
        return f"a list of {_several(_kind_text(schema.get('items', {})))}"
    if kind == "object":
        inner = schema.get("additionalProperties")
        if not isinstance(inner, dict):
            return "a table"
        return f"tables by name, each {'with ' if inner.get('type') == 'object' else ''}{_kind_text(inner)}"
    return {"string": "a text", "integer": "a whole number", "boolean": "true or false", "number": "a number"}.get(
        kind, ""
    )


def _several(kind: str) -> str:
    """Of ``a text``: ``texts``; of words that are no such thing, the same words."""
    first, _, rest = kind.removeprefix("a ").partition(" of ")
    if not kind.startswith("a ") or " or " in kind:
        return kind
    return f"{first}s of {rest}" if rest else f"{first}s"


def _field_kind(field: dict[str, Any]) -> str:
    plain = {key: value for key, value in field.items() if key not in ("description", "default", "title")}
    if "anyOf" in plain and any(s.get("type") == "null" for s in plain["anyOf"]):
        inner = [s for s in plain["anyOf"] if s.get("type") != "null"]
        return " or ".join(_kind_text(s) for s in inner)
    return _kind_text(plain)


def board_document() -> str:
    """The board format: for every table an example, and of every key what it takes, what it means and its default."""
    schema = entry_schema()
    defs = {"Board": schema, **schema["$defs"]}
    lines = [(FOLDER / "board.intro.md").read_text(encoding="utf-8").rstrip(), ""]
    for name, title, text in TABLES:
        model = defs[name]
        lines += [f"## {title}", ""]
        about = text or str(model.get("description", "")).replace("\n", " ")
        if about and name != "Board":
            lines += [about, ""]
        if shown := example(name):
            lines += ["```toml", shown, "```", ""]
        lines += ["| key | takes | must | left out | meaning |", "|---|---|---|---|---|"]
        required = set(model.get("required", []))
        for key, field in model["properties"].items():
            meaning = str(field.get("description", ""))
            takes = _field_kind(field)
            must = "yes" if key in required else ""
            lines.append(f"| `{key}` | {_cell(takes)} | {must} | {default(name, key)} | {_cell(meaning)} |")
        lines.append("")
    return "\n".join(lines)


def _cell(text: str) -> str:
    return " ".join(text.split()).replace("|", "\\|")


def _range(declared: Parameter | Table | Axis) -> str:
    if declared.choices if isinstance(declared, Parameter | Axis) else False:
        return " ".join(f"`{choice}`" for choice in declared.choices)  # type: ignore[union-attr]
    if isinstance(declared, Parameter) and declared.text:
        return "text"
    return f"{show(declared.low, declared.unit)} to {show(declared.high, declared.unit)}"


def _parameters(parameters: tuple[Parameter, ...]) -> Iterator[str]:
    yield "| column | symbol | unit | meaning | plausible |"
    yield "|---|---|---|---|---|"
    for p in parameters:
        names = ", ".join(f"`{column}`" for column in p.columns())
        yield f"| {names} | {p.symbol} | {p.unit} | {_cell(p.meaning)} | {_range(p)} |"


def parts_document() -> str:
    """The parts format: every column and table of every kind."""
    lines = [(FOLDER / "parts.intro.md").read_text(encoding="utf-8").rstrip(), ""]
    lines += ["## Every kind", "", *_parameters(IDENTITY), ""]
    for kind in KINDS.values():
        own = tuple(p for p in kind.parameters if p not in IDENTITY)
        lines += [f"## {kind.name}: {kind.title}", "", f"Sheet `{kind.name}.csv`.", "", *_parameters(own), ""]
        for table in kind.tables:
            lines += [
                f"### Table `{table.name}` ({table.symbol})",
                "",
                f"{table.meaning[0].upper()}{table.meaning[1:]}. Sheet `{kind.name}.{table.name}.csv`.",
                "",
                "| column | symbol | unit | meaning | plausible |",
                "|---|---|---|---|---|",
            ]
            for axis in table.axes:
                optional = "" if axis.required else " (may be blank)"
                lines.append(
                    f"| `{axis.name}` | {axis.symbol} | {axis.unit} "
                    f"| {_cell(axis.meaning)}{optional} | {_range(axis)} |"
                )
            bounds = ", ".join(f"`{bound}`" for bound in table.bounds)
            lines += [f"| {bounds} | {table.symbol} | {table.unit} | the value | {_range(table)} |", ""]
    return "\n".join(lines)


def _record_tables() -> Iterator[str]:
    """Every record of an answer, key by key."""
    from partcheck.report.schema import answers_schema

    for name, model in answers_schema()["$defs"].items():
        about = " ".join(str(model.get("description", "")).split())
        yield from (f"## Record `{name}`", "", about, "", "| key | is | meaning |", "|---|---|---|")
        for key, field in model["properties"].items():
            kind = re.sub(r"(Record) table", r"\1", _field_kind(field)) or "anything"
            null = " or null" if any(s.get("type") == "null" for s in field.get("anyOf", [])) else ""
            yield f"| `{key}` | {_cell(kind)}{null} | {_cell(str(field.get('description', '')))} |"
        yield ""


def answers_document() -> str:
    """The answers: what every requirement of every role is called, demands and rests on."""
    lines = [(FOLDER / "answers.intro.md").read_text(encoding="utf-8").rstrip(), "", *_record_tables()]
    for role in (*ROLES.values(), *LINK_ROLES.values()):
        lines += [
            f"## {role.name}: {role.title}",
            "",
            "| requirement | unit | claim | read as | source | asked only if stated |",
        ]
        lines.append("|---|---|---|---|---|---|")
        for rule in role.requirements.values():
            asks = ", ".join(f"{role.facts[name].meaning}" for name in rule.asks)
            lines.append(
                f"| `{rule.id}` | {rule.unit} | {_cell(rule.claim)} | {_cell(rule.reading)} "
                f"| {_cell(rule.source)} | {_cell(asks)} |"
            )
        lines += ["", "| named value | unit | meaning |", "|---|---|---|"]
        for named in (*role.needs.values(), *role.quantities.values()):
            lines.append(f"| `{named.name}` | {named.unit} | {_cell(named.meaning)} |")
        lines += ["", "| fact of the board | unit | meaning |", "|---|---|---|"]
        for named in role.facts.values():
            if not named.name.startswith(("k_", "assumed_")):
                lines.append(f"| `{named.name}` | {named.unit} | {_cell(named.meaning)} |")
        lines.append("")
    return "\n".join(lines)


def policy_document() -> str:
    """A policy file: a whole example, and every value with what the shipped policies state."""
    from partcheck.report.policy_format import policy_tables

    example = (FOLDER / "policy.example.toml").read_text(encoding="utf-8").rstrip()
    intro = (FOLDER / "policy.intro.md").read_text(encoding="utf-8").rstrip()
    return "\n".join([intro, "", "```toml", example, "```", "", *policy_tables()])


def evidence_document() -> str:
    """What every requirement rests on, as `partcheck evidence --markdown` writes it."""
    from partcheck.jobs.evidence.evidence import evidence
    from partcheck.report.answers.evidence.document import document
    from partcheck.report.render import markdown

    return markdown.render(document(evidence()))


DOCUMENTS = {
    "board": board_document,
    "parts": parts_document,
    "answers": answers_document,
    "policy": policy_document,
    "evidence": evidence_document,
}


def write_documents() -> None:
    """Write the documents anew: ``python -m partcheck.report.formats``."""
    for name, make in DOCUMENTS.items():
        (FOLDER / f"{name}.md").write_text(make().rstrip() + "\n", encoding="utf-8")


if __name__ == "__main__":
    write_documents()
