"""What is said of a text that is not read: what was read, what is wanted, what to write instead."""

import re
import unicodedata
from typing import Final

from partcheck.errors import ValueSlip
from partcheck.units.known import LONGEST, PREFIXES, UNITS, quoted
from partcheck.units.quantity import LETTERED, QUANTITY, THINNEST, labels_of, read_quantity


def slip(text: object, unit: str, why: str, instead: str = "") -> ValueSlip:
    record = UNITS[unit]
    wanted = f"{record.meaning} in {unit}" if unit else record.meaning
    instead = instead or f"for example {record.example}"
    sentence = f"{quoted(text)} is not {wanted}: {why}; write {instead}"
    return ValueSlip("".join(char if char.isprintable() else " " for char in sentence))


def why_refused(plain: str, unit: str) -> tuple[str, str]:
    """What is wrong with a text that ``read_quantity`` gave up on, and what to write ("" for the example)."""
    why, instead = _about_number(plain) or _about_code(plain, unit) or _about_label(plain, unit)
    return why, instead if instead and all(
        read_quantity(each, unit) is not None for each in instead.split(" or ")
    ) else ""


def _about_number(plain: str) -> tuple[str, str] | None:
    if not plain:
        return "it is empty", ""
    if len(plain) > LONGEST:
        return f"it is longer than {LONGEST} characters", ""
    if re.match(r"[+-]?(?:nan|inf|∞)", plain, re.IGNORECASE):
        return "it is not a finite number", ""
    ascii_digits = "".join(str(unicodedata.decimal(char, char)) for char in plain)
    if ascii_digits != plain:
        return "its digits are not the plain 0 to 9", ascii_digits
    if re.match(r"[+-]?[0-9]{1,3}(?:[ ,'’_][0-9]{3})+(?![0-9])", plain):
        return _about_thousands(plain)
    if re.match(r"[+-]?[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]", plain):
        return "it has points between thousands and a decimal comma", plain.replace(".", "").replace(",", ".", 1)
    if re.match(r"[+-]?[0-9]*,[0-9]", plain):
        return "a comma is not a decimal point", plain.replace(",", ".", 1)
    if "_" in plain:
        return "an underscore is not part of a number", plain.replace("_", "")
    return None


def _about_thousands(plain: str) -> tuple[str, str]:
    """What to write for ``1,500``: nothing that may be another number than was meant."""
    point = plain.replace(",", ".", 1)
    if re.match(r"[+-]?0[0-9]*,", plain):  # nobody separates thousands after a nought
        return "a comma is not a decimal point", point
    if re.match(r"[+-]?[0-9]+,[0-9]{3}(?![0-9.,'’_ ]*[0-9])", plain):
        return "it may have a thousands separator or a decimal comma", f"{plain.replace(',', '', 1)} or {point}"
    number = re.match(
        r"([+-]?[0-9]+)((?:([ ,'’_])[0-9]{3})(?:\3[0-9]{3})*)(?:([.,])([0-9]+))?(?![0-9]|[.,'’_][0-9])", plain
    )
    if number is None or number[3] == number[4]:
        return "it may have a thousands separator", ""
    whole = number[1] + number[2].replace(number[3], "") + (f".{number[5]}" if number[4] else "")
    return "it may have a thousands separator", whole + plain[number.end() :]


def _about_code(plain: str, unit: str) -> tuple[str, str] | None:
    if unit == "Ω" and LETTERED.fullmatch(plain):
        return "its last letter is a tolerance and one value is wanted", plain[:-1]
    if unit == "m²" and "AWG" in plain.upper():
        return f"a wire gauge is written 20 AWG, a whole number from 0 to {THINNEST}", ""
    infix = re.fullmatch(r"([0-9]+)([^0-9 .]+)([0-9]+)", plain)
    pointed = f"{infix[1]}.{infix[3]} {infix[2]}" if infix else ""
    return None if read_quantity(pointed, unit) is None else ("a letter is not a decimal point here", pointed)


_CONFUSED: Final = {
    ("°C", "C"): ("C is the coulomb", "°C"),
    ("K", "°C"): ("°C is for a temperature and a difference is wanted", "K"),
    ("K", "degC"): ("degC is for a temperature and a difference is wanted", "K"),
    ("s", "m"): ("m alone may be milli or minutes", "ms"),
}


def _about_label(plain: str, unit: str) -> tuple[str, str]:
    match = QUANTITY.fullmatch(plain)
    if match is None:
        return "it does not start with a number", ""
    label, number = match["label"], plain[: match.start("gap")]
    if not label:
        return "a number alone does not say its unit", ""
    if (unit, label) in _CONFUSED:
        why, instead = _CONFUSED[unit, label]
        return why, f"{number} {instead}"
    alike = [name for name in labels_of(unit) if name and name.casefold() == label.casefold()]
    if len(alike) == 1:
        return f"{quoted(label)} is spelled {quoted(alike[0])}", f"{number} {alike[0]}"
    for other in UNITS.values():
        if label == other.symbol or (label not in PREFIXES and label in labels_of(other.symbol)):
            return f"{quoted(label)} belongs to {other.meaning}", ""
    if re.search(r"[0-9]", label):
        return "one number and its unit are wanted", ""
    return f"{quoted(label)} is not a unit for it", ""
