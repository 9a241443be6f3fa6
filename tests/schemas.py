"""The published schema of answers, made and looked through once in a process: that takes longer than most answers."""

from functools import cache
from typing import Any

import jsonschema


@cache
def _answers() -> jsonschema.Draft202012Validator:
    from partcheck.report.schema import answers_schema

    schema = answers_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def follows_the_schema(answer: Any) -> None:
    """Raise ``jsonschema.ValidationError`` where a JSON answer is not what the published schema says."""
    _answers().validate(answer)
