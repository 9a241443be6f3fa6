"""Everything a user can be told to correct, as one tree.

::

    PartcheckError            one sentence: what, where, what to do
    ├── ValueSlip             a text that is not the number asked for (units)
    ├── BoardError            the board file: key, line and allowed range
    ├── PartsError            a sheet or JSON of parts: file, row, column
    ├── CatalogError          the catalog: missing, locked, read-only, corrupt, too new
    │   ├── NoCatalogYet      nothing is there, or nothing yet: a write makes one
    │   └── ChangedMeanwhile  a part that somebody else changed since it was read
    ├── PolicyError           a derating policy
    └── UsageError            a command asked for something that is not there

An error carries its sentence in ``str(error)`` and, where one thing alone is no use to the person
correcting it, further sentences in ``error.details`` (one per bad key or cell).
"""

import re
from collections.abc import Sequence

_PASSWORD = re.compile(
    r"([a-z][a-z0-9+.-]+:/{1,3})(?!/*USER:PASSWORD@)\S*@"  # before the host
    r"|(postgres[a-z+]*:/{0,3})(?!/*USER:PASSWORD@)(?!(?:localhost|[\w-]+(?:\.[\w-]+)+|\[[0-9a-f:]+\]):\d+(?![\w@]))"
    r"[^\s/:@]*:(?!(?:5432|5433|6432)/)\S*"  # where the host was forgotten; beside a usual port a name is a host
    r"|(password\s*=\s*)[^\s;&,]+"
    r"|(?<![\w.+%~-])(?!USER:PASSWORD@)[\w.+%~-]+:(?![/\\])\S*@"  # where the scheme was
    r"|(?<![\w.+%~-])(?!USER:PASSWORD@)[\w.+%~-]+:(?![/\\\s])[^@\n]{0,200}@(?=[\w.-]+(?::\d+)?/\w)",  # and blanks
    re.IGNORECASE,
)
_BLANKS = re.compile(r"(postgres[a-z+]*:/{1,3})(?!/*USER:PASSWORD@)[^@:\s]*:.*@", re.IGNORECASE)
"""A password with blanks in it, as far as the last @ of the line."""


def masked(text: str) -> str:
    """The text without what may be the user and password of an address: ``masked("x://jo:pw@host") == "x://host"``.

    An address may stand where nobody expects one, such as in the place of a file.
    """
    if "postgres" in text.casefold():
        text = _BLANKS.sub(r"\1", text)
    if "@" in text or "=" in text or ":/" in text or "postgres" in text.casefold():
        return _PASSWORD.sub(lambda found: found[1] or found[2] or f"{found[3] or ''}***", text)
    return text


LONGEST = 2000
"""Characters of a sentence."""


def shortened(line: str) -> str:
    """A line no longer than a few of a terminal; what is left out is long text that was given, in the middle."""
    return line if len(line) <= LONGEST else f"{line[: LONGEST // 2]} ... {line[-LONGEST // 4 :]}"


_PLAIN = (
    (r"a valid integer\b.*", "a whole number"),
    (r"a valid number\b.*", "a number"),
    (r"a valid string\b.*", "a text"),
    (r"a valid boolean\b.*", "true or false"),
    (r"a valid (?:dictionary|table)\b.*", "a table"),
    (r"a valid list\b.*", "a list"),
    (r"greater than or equal to (\S+)", r"at least \1"),
    (r"less than or equal to (\S+)", r"at most \1"),
    (r"greater than (\S+)", r"above \1"),
    (r"less than (\S+)", r"below \1"),
)
_SIZE = re.compile(r"^\w+ should have (at (?:least|most) \d+ \w+) after validation, not .*")


def plainly(message: str) -> str:
    """What a checker of types says, in plain words: ``plainly("Input should be greater than 1") == "must be above 1"``.

    Any other message is left as it is.
    """
    message = message.replace("Value error, ", "", 1)
    message = re.sub(
        r"^\w+ should have (at (?:least|most) \d+) (\w+) after validation, not .*", r"must have \1 \2", message
    )
    head, found, rest = message.partition("Input should be ")
    if not found:
        return message
    for pattern, words in _PLAIN:
        rest = re.sub(pattern, words, rest)
    return f"{head}must be {rest}"


class PartcheckError(Exception):
    """A sentence for the user: what is wrong, where, and what to do about it."""

    def __init__(self, sentence: str, details: Sequence[str] = ()) -> None:
        super().__init__(shortened(masked(sentence)))
        self.details = tuple(shortened(masked(detail)) for detail in details)


class ValueSlip(PartcheckError):
    """A text that cannot be read as the number, unit or range that is asked for."""


class BoardError(PartcheckError):
    """A board file that cannot be read, or says something that cannot be built.

    ``slips`` are the path of each key that is wrong and what is wrong with it, for whoever wrote the file for a user.
    """

    def __init__(
        self,
        sentence: str,
        details: Sequence[str] = (),
        slips: Sequence[tuple[tuple[str | int, ...], str]] = (),
    ) -> None:
        super().__init__(sentence, details)
        self.slips = tuple(slips)


class PartsError(PartcheckError):
    """A sheet, JSON file or inline part with a value that cannot stand."""


class CatalogError(PartcheckError):
    """A catalog that cannot be opened, read or written."""


class UnsoundCatalog(CatalogError):
    """A catalog that was reached, but whose contents are damaged or not as they were made."""


class NoCatalogYet(CatalogError):
    """There is no catalog, or one that was begun and has no table yet; a write makes it."""


class ChangedMeanwhile(CatalogError):
    """A change to a part that somebody else changed since it was read; nothing was written."""


class PolicyError(PartcheckError):
    """A derating policy that is unknown or incomplete."""


class UsageError(PartcheckError):
    """A command that names something which is not there."""
