"""Exit codes: 0 meets or tight, 1 fails, 2 wrong usage or bad input, 3 unproven, 70 internal fault."""

from partcheck.errors import UsageError
from partcheck.requirement import Verdict

CODES = {Verdict.MEETS: 0, Verdict.TIGHT: 0, Verdict.UNPROVEN: 3, Verdict.FAILS: 1}


def exit_code(verdict: Verdict) -> int:
    """The exit code that tells a verdict to a script."""
    return CODES[verdict]


def refuse_both(as_json: bool, as_csv: bool) -> None:
    """``--json`` and ``--csv`` exclude each other."""
    if as_json and as_csv:
        raise UsageError("--json and --csv are two forms of one answer; give one of them")
