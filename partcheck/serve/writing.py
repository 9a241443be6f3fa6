"""What every write says of itself: who, and when."""

import getpass
from datetime import datetime

from starlette.datastructures import FormData

BY = "by"
LONGEST = 80
"""Characters of a name."""


def login() -> str:
    """Who started the server."""
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):  # a system without names for users
        return "somebody"


def who(form: FormData) -> str:
    """Who writes: the name in the form, else who started the server."""
    return " ".join(word(form, BY).split())[:LONGEST] or login()


def now() -> str:
    """The time of a change, with its offset from UTC."""
    return datetime.now().astimezone().isoformat(timespec="seconds")


def word(form: FormData, name: str) -> str:
    """A field of a form as text; empty where there is none."""
    given = form.get(name)
    return given if isinstance(given, str) else ""
