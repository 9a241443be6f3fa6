"""What lets somebody in: the key in the address, the cookie that it is exchanged for, the token of every form.

All of them are made anew when the server starts and are kept in memory alone.
"""

import hmac
from dataclasses import dataclass, field
from secrets import token_urlsafe


@dataclass(frozen=True)
class Keys:
    """What opens one run of the server."""

    key: str = field(default_factory=lambda: token_urlsafe(24), repr=False)
    """In the address that is printed, and as a bearer token for a program."""
    session: str = field(default_factory=lambda: token_urlsafe(32), repr=False)
    """In the cookie of a browser that came with the key."""
    form: str = field(default_factory=lambda: token_urlsafe(32), repr=False)
    """In every form that changes something."""


def same(given: str | None, secret: str) -> bool:
    """Whether a text is the secret, in a time that does not tell how much of it."""
    return given is not None and hmac.compare_digest(given.encode(), secret.encode())
