"""The JSON Schema of a file of parts, made from the declarations."""

from typing import Any

from partcheck.parameters import KINDS, Axis, Kind, Parameter, Table
from partcheck.parts.checks import IDENTITY, SOURCE
from partcheck.parts.documents import FORMAT
from partcheck.units import UNITS, json_unit, show, to_json

Schema = dict[str, Any]
ID = f"urn:partcheck:schema:parts:{FORMAT}"
_SOURCES = {
    "document": "the document, such as a datasheet's number",
    "revision": "revision of the document",
    "page": "page of the document",
    "condition": "condition under which the value is stated",
    "entered_by": "who entered the value",
    "entered_on": "when the value was entered, as 2024-05-31",
    "measured": "number of pieces measured on the bench, where there is no document",
}


def parts_schema() -> Schema:
    """The schema (draft 2020-12) of ``{"format": 1, "parts": [...]}`` or a bare list of parts.

    Each kind of part is ``#/$defs/<kind>``; a number is SI (a temperature °C) and has its plausible range, a
    text with its unit is only known to be a text.
    """
    parts = {"type": "array", "items": {"$ref": "#/$defs/part"}}
    document = {
        "type": "object",
        "properties": {
            "$schema": {"type": "string"},
            "format": {"const": FORMAT, "description": "the format of this file"},
            "parts": parts,
        },
        "required": ["format", "parts"],
        "additionalProperties": False,
    }
    kinds = [{"if": {"properties": {"kind": {"const": kind}}}, "then": {"$ref": f"#/$defs/{kind}"}} for kind in KINDS]
    part = {
        "type": "object",
        "properties": {"kind": {"enum": list(KINDS), "description": "what kind of part it is"}},
        "required": ["kind", *IDENTITY],
        "allOf": kinds,
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": ID,
        "title": "Parts",
        "description": "Catalog parts and what their datasheets state; null or left out is not stated.",
        "anyOf": [document, parts],
        "$defs": {"part": part, "source": _source(), **{name: _kind(kind) for name, kind in KINDS.items()}},
    }


def _kind(kind: Kind) -> Schema:
    properties: Schema = {"kind": {"const": kind.name, "description": f"this part is {kind.one}"}}
    for parameter in kind.parameters:
        for column in parameter.columns():
            properties[column] = _value(parameter, column)
        if parameter.bounds:
            properties[parameter.name] = _bounded(parameter)
    for table in kind.tables:
        properties[table.name] = _table(table)
    sources = [*properties, "*"]
    properties["provenance"] = {
        "type": ["object", "null"],
        "description": "where values came from, by column, parameter or table; * is for the whole part",
        "propertyNames": {"enum": sources[1:]},
        "additionalProperties": {"$ref": "#/$defs/source"},
    }
    for name in IDENTITY:
        properties[name] |= {"type": "string", "minLength": 1}
    return {
        "title": kind.title,
        "type": "object",
        "properties": properties,
        "required": ["kind", *IDENTITY],
        "additionalProperties": False,
    }


def _value(declared: Parameter | Axis | Table, name: str) -> Schema:
    """One value: a number with its range or a text with its unit, or a word."""
    text = isinstance(declared, Parameter | Axis) and declared.is_text
    known: Schema = {"title": declared.symbol or name, "description": _described(declared, name, text)}
    if isinstance(declared, Parameter | Axis) and declared.choices:
        return known | {"enum": [*declared.choices, None]}
    if text:
        return known | {"type": ["string", "null"]}
    unit = declared.unit
    low, high = to_json(declared.low, unit), to_json(declared.high, unit)
    return known | {
        "type": ["number", "string", "null"],
        "minimum": low,
        "maximum": high,
        "x-unit": json_unit(unit),
    }


def _described(declared: Parameter | Axis | Table, name: str, text: bool) -> str:
    symbol = f"{declared.symbol}: " if declared.symbol else ""
    bound = name.rpartition("_")[2]
    which = f", {bound}" if bound in ("min", "typ", "max") and name != getattr(declared, "name", "") else ""
    if text:
        return f"{symbol}{declared.meaning}"
    unit, example = json_unit(declared.unit), UNITS[declared.unit].example
    number = f"a number in {unit}, or a text such as {example}" if unit else f"a ratio or count, such as {example}"
    plausible = f"{show(declared.low, declared.unit)}..{show(declared.high, declared.unit)}"
    return f"{symbol}{declared.meaning}{which}; {number}; {plausible}"


def _bounded(parameter: Parameter) -> Schema:
    return {
        "title": parameter.symbol or parameter.name,
        "description": f"{parameter.symbol}: {parameter.meaning}; {' and '.join(parameter.bounds)}",
        "type": "object",
        "properties": {bound: _value(parameter, f"{parameter.name}_{bound}") for bound in parameter.bounds},
        "additionalProperties": False,
    }


def _table(table: Table) -> Schema:
    axes = {axis.name: _value(axis, axis.name) for axis in table.axes}
    row = {
        "type": "object",
        "properties": axes | {bound: _value(table, f"{table.name}_{bound}") for bound in table.bounds},
        "required": [axis.name for axis in table.axes if axis.required],
        "anyOf": [{"required": [bound]} for bound in table.bounds],
        "additionalProperties": False,
    }
    unit = f", {json_unit(table.unit)}" if table.unit else ""
    return {
        "title": table.symbol or table.name,
        "description": f"{table.symbol}: {table.meaning}{unit}; one row for each stated point",
        "type": ["array", "null"],
        "items": row,
    }


def _source() -> Schema:
    texts: Schema = {name: {"description": _SOURCES[name], "type": ["string", "null"]} for name in SOURCE}
    texts["measured"] |= {"type": ["integer", "string", "null"], "minimum": 1}
    return {
        "title": "Source",
        "description": "where a value came from",
        "type": "object",
        "properties": texts,
        "additionalProperties": False,
    }
