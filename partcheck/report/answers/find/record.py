"""Record of a search in the catalog."""

from typing import Literal

from pydantic import Field

from partcheck.parts.search import Found
from partcheck.report.record import Record
from partcheck.units import json_unit, to_json


class FoundRecord(Record):
    """A part that was found."""

    kind: str
    part_number: str
    maker: str
    package: str | None
    status: str | None
    price: float | None
    currency: str | None
    quantity: float | None
    values: dict[str, float | str | None] = Field(description="the values asked for, by name")


class FindRecord(Record):
    """The parts that satisfy every condition of a search."""

    format: Literal[1] = 1
    job: Literal["find"] = "find"
    catalog: str
    units: dict[str, str] = Field(description="unit of each value asked for")
    parts: list[FoundRecord]
    total: int = Field(description="parts that satisfy every condition, listed or not")
    unstated: int = Field(description="further parts that may do, but do not state a value that is asked for")


def record(answer: Found, catalog: str) -> FindRecord:
    """What was found in a catalog."""
    parts = []
    for part in answer.parts:
        shown = {name: part.values.get(name) for name in answer.shown}
        asked = {n: to_json(v, answer.shown[n]) if isinstance(v, float) else v for n, v in shown.items()}
        common = {name: part.values[name] for name in FoundRecord.model_fields if name not in ("kind", "values")}
        parts.append(FoundRecord(kind=part.kind, values=asked, **common))
    units = {name: json_unit(unit) for name, unit in answer.shown.items()}
    return FindRecord(catalog=catalog, units=units, parts=parts, total=answer.total, unstated=answer.unstated)
