"""What to say of a header that may mean several things."""

from partcheck.parts.headers import Header
from partcheck.parts.problems import Problem

_ROW = "(a row of "


def unclear(text: str, found: Header) -> tuple[str, Problem | None]:
    """The one table of which the header is a value, left for who knows the tables; else what is wrong with it."""
    tables = sorted(may.removeprefix(_ROW).removesuffix(")") for may in found.may_be if may.startswith(_ROW))
    if len(tables) == len(found.may_be) == 1:
        return tables[0], None
    shown = " ".join(text.split())
    if len(found.may_be) == 1 and found.may_be[0].startswith("(the condition"):
        advice = "write @ before it if it is that of the value before it, min, typ or max with it if it is a value"
        return "", Problem(shown, "", f"may be {found.may_be[0].strip('()')}", advice)
    if len(found.may_be) == 1:
        return "", Problem(shown, "", "does not say which bound it is", f"write {found.may_be[0].strip('()')}")
    listed = ", ".join(may.strip("()") for may in found.may_be)
    flat = [may for may in found.may_be if not may.startswith("(")]
    beside = [f"{' or '.join(tables)} with its conditions right after it (columns that begin with @)"] if tables else []
    advice = f"write {', or '.join([*beside, *flat])}, or map it"
    return "", Problem(shown, "", f"may mean several things ({listed})", advice)
