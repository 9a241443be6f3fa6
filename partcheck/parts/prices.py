"""What stands beside a price or a quantity in a sheet: a currency, or words that make it another number."""

import re

_SIGNS = {"€": "EUR", "£": "GBP", "US$": "USD"}
_CODES = frozenset({"EUR", "USD", "GBP", "CHF", "JPY", "CNY", "SEK", "NOK", "DKK", "PLN", "CZK", "CAD", "AUD"})
_PIECES = frozenset({"pcs", "pc", "pieces", "piece", "stk", "stück"})
_BEHIND = re.compile(r"(.*?)[\s,/]*(?:\bin\s)?\s*[\[(]?\s*(€|£|US\$|(?<![A-Za-z])[A-Za-z]{3})\s*[\])]?\s*", re.DOTALL)
_BEFORE = re.compile(r"\s*(€|£|US\$)\s*([0-9.,]+)\s*")


def currency_of(text: str) -> str:
    """The code (ISO 4217) that a sign or a code stands for: ``currency_of("€") == "EUR"``; empty for anything else."""
    word = text.strip().upper()
    return _SIGNS.get(word) or (word if word in _CODES else "")


def currency_in(text: str) -> tuple[str, str]:
    """A header or a price without its currency, and that: ``currency_in("Price [€]") == ("Price", "EUR")``."""
    found = _BEHIND.fullmatch(text)
    code = currency_of(found[2]) if found else ""
    if found and code:
        return found[1].strip(), code
    before = _BEFORE.fullmatch(text)
    return (before[2], currency_of(before[1])) if before else (text, "")


def is_plain_beside(name: str, text: str) -> bool:
    """Whether a text beside a number leaves it the price of one piece, or a number of pieces."""
    if name == "price":
        return text == "$" or bool(currency_of(text))
    return text.casefold().strip(".") in _PIECES
