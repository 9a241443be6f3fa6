"""Answers as JSON records, one module per job; these classes are what `partcheck schema answers` prints."""

from typing import Any

from pydantic import TypeAdapter

from partcheck.report.records.accept import AcceptRecord, RecordsRecord, accepted, recorded
from partcheck.report.records.boards import BoardCheckRecord, BoardListRecord, BoardLookRecord
from partcheck.report.records.boards import listed as board_listed
from partcheck.report.records.boards import looked as board_looked
from partcheck.report.records.boards import reviewed as board_reviewed
from partcheck.report.records.brightness import BrightnessRankingRecord, BrightnessRecord, brightened, brightness_ranked
from partcheck.report.records.check import CheckRecord, checked
from partcheck.report.records.common import Record, to_text
from partcheck.report.records.explain import ExplainRecord, explained
from partcheck.report.records.find import FindRecord, found
from partcheck.report.records.history import HistoryRecord, UndoRecord, history, undone
from partcheck.report.records.importing import ImportRecord, imported
from partcheck.report.records.limits import LimitsRecord, limited
from partcheck.report.records.plan import PlanRecord, planned
from partcheck.report.records.review import ReviewRecord, reviewed
from partcheck.report.records.swap import SwapRecord, swapped
from partcheck.report.records.verify import VerifyRecord, verified
from partcheck.report.records.vet import VetRecord, vetted

Answer = (
    CheckRecord
    | ExplainRecord
    | SwapRecord
    | LimitsRecord
    | AcceptRecord
    | RecordsRecord
    | BrightnessRecord
    | BrightnessRankingRecord
    | VetRecord
    | PlanRecord
    | BoardCheckRecord
    | BoardListRecord
    | BoardLookRecord
    | FindRecord
    | HistoryRecord
    | ImportRecord
    | ReviewRecord
    | UndoRecord
    | VerifyRecord
)


def answers_schema() -> dict[str, Any]:
    """JSON Schema of every answer."""
    schema: dict[str, Any] = TypeAdapter(Answer).json_schema(mode="serialization")
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "partcheck answers, format 1"
    return schema


__all__ = [
    "Answer",
    "Record",
    "accepted",
    "answers_schema",
    "board_listed",
    "board_looked",
    "board_reviewed",
    "brightened",
    "brightness_ranked",
    "checked",
    "explained",
    "found",
    "history",
    "imported",
    "limited",
    "planned",
    "recorded",
    "reviewed",
    "swapped",
    "to_text",
    "undone",
    "verified",
    "vetted",
]
