"""Every command, taken in so that it registers itself with the application."""

from partcheck.cli import (
    brightness,
    check,
    demo,
    evidence,
    explain,
    fleet,
    formats,
    limits,
    missing,
    plan,
    records,
    serve,
    swap,
    vet,
)
from partcheck.cli.ask import commands as ask
from partcheck.cli.board import (
    adding,
    beginning,
    new,
)
from partcheck.cli.catalog import (
    entering,
    finding,
    group,
    importing,
    keeping,
    review,
    sheets,
)

__all__ = [
    "adding",
    "ask",
    "beginning",
    "brightness",
    "check",
    "demo",
    "entering",
    "evidence",
    "explain",
    "finding",
    "fleet",
    "formats",
    "group",
    "importing",
    "keeping",
    "limits",
    "missing",
    "new",
    "plan",
    "records",
    "review",
    "serve",
    "sheets",
    "swap",
    "vet",
]
