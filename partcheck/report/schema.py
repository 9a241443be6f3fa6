"""The schema of every JSON answer, as `partcheck schema answers` prints it."""

from typing import Any

from pydantic import TypeAdapter

from partcheck.report.answers.ask.record import AskRecord
from partcheck.report.answers.boards.record import BoardCheckRecord, BoardListRecord, BoardLookRecord
from partcheck.report.answers.brightness.record import BrightnessRecord
from partcheck.report.answers.check.record import CheckRecord
from partcheck.report.answers.decisions.record import AcceptRecord, RecordsRecord
from partcheck.report.answers.evidence.record import EvidenceRecord
from partcheck.report.answers.explain.record import ExplainRecord
from partcheck.report.answers.find.record import FindRecord
from partcheck.report.answers.fleet.record import FleetRecord
from partcheck.report.answers.history.record import HistoryRecord, UndoRecord
from partcheck.report.answers.importing.record import ImportRecord
from partcheck.report.answers.leds.record import BrightnessRankingRecord
from partcheck.report.answers.limits.record import LimitsRecord
from partcheck.report.answers.missing.record import MissingRecord
from partcheck.report.answers.plan.record import PlanRecord
from partcheck.report.answers.review.record import ReviewRecord
from partcheck.report.answers.swap.record import SwapRecord
from partcheck.report.answers.verify.record import VerifyRecord
from partcheck.report.answers.vet.record import VetRecord

Answer = (
    CheckRecord
    | AskRecord
    | ExplainRecord
    | SwapRecord
    | LimitsRecord
    | AcceptRecord
    | RecordsRecord
    | BrightnessRecord
    | BrightnessRankingRecord
    | VetRecord
    | PlanRecord
    | MissingRecord
    | BoardCheckRecord
    | BoardListRecord
    | BoardLookRecord
    | FindRecord
    | HistoryRecord
    | ImportRecord
    | ReviewRecord
    | FleetRecord
    | UndoRecord
    | VerifyRecord
    | EvidenceRecord
)


def answers_schema() -> dict[str, Any]:
    """JSON Schema of every answer."""
    schema: dict[str, Any] = TypeAdapter(Answer).json_schema(mode="serialization")
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "partcheck answers, format 1"
    return schema
