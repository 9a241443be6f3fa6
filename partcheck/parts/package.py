"""Inside an XLSX file (ISO/IEC 29500): what a reader of plain values does not tell.

A cell with an error has no value to such a reader, nor has a formula that no spreadsheet ever calculated; and a number
shown as ``28 mΩ`` or ``10 %`` by its number format is 28 or 0.1 to it. Each would be read wrongly, or lost, in silence.
"""

import re
import zipfile
from collections.abc import Iterator
from decimal import Decimal
from typing import NamedTuple
from xml.etree import ElementTree

from partcheck.units import is_unit

_CELL = re.compile(rb"<(?:\w+:)?c\b([^>]*?)(?:/>|>(.*?)</(?:\w+:)?c>)", re.DOTALL)
_PLACE = re.compile(rb'\br="([A-Z]{1,3})([0-9]+)"')
_STYLE = re.compile(rb'\bs="([0-9]+)"')
_VALUE = re.compile(rb"<(?:\w+:)?(?:v|t)\b[^>]*>([^<]+)<")
_ERROR = re.compile(rb"""\bt=["']e["']""")
_PERCENT = {9: "0%", 10: "0.00%"}  # number formats that every spreadsheet knows by number (18.8.30)


class Shown(NamedTuple):
    """How a number format shows a number: times a power of ten, with a unit behind it."""

    power: int
    unit: str

    def text(self, value: float) -> str:
        """``Shown(2, "%").text(0.1) == "10 %"``."""
        digits = f"{Decimal(repr(value)).scaleb(self.power).normalize():f}"
        return f"{digits} {self.unit}".rstrip()


class Package:
    """An open XLSX file."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive
        self._names = set(archive.namelist())
        self._sheets = self._find_sheets()
        self._styles = self._find_styles()

    @property
    def has_macros(self) -> bool:
        """Whether it brings programs of its own."""
        return any(name.endswith("vbaProject.bin") for name in self._names) or b"macroEnabled" in self._read(
            "[Content_Types].xml"
        )

    def peculiar(self, sheet: str) -> Iterator[tuple[tuple[int, int], str | Shown]]:
        """Row (from 1) and column (from 0) of cells whose value alone does not say what they show, and what they do.

        A text is an error code or, for a formula without a value, ``=``.
        """
        path = self._sheets.get(sheet)
        data = self._read(path) if path else b""
        if not data or not (self._styles or b"<f" in data or b":f" in data or _ERROR.search(data)):
            return
        for match in _CELL.finditer(data):
            head, body = match[1], match[2] or b""
            place = _PLACE.search(head)
            if place is None:
                continue
            what = self._what(head, body)
            if what is not None:
                yield (int(place[2]), _index(place[1])), what

    def _what(self, head: bytes, body: bytes) -> str | Shown | None:
        if _ERROR.search(head):
            value = _VALUE.search(body)
            return value[1].decode("ascii", "replace") if value else "#VALUE!"
        if (b"<f" in body or b":f" in body) and b't="str"' not in head and not _VALUE.search(body):
            return "="
        style = _STYLE.search(head)
        return self._styles.get(int(style[1])) if style and body else None

    def _read(self, name: str) -> bytes:
        return self._archive.read(name) if name in self._names else b""

    def _xml(self, name: str) -> ElementTree.Element | None:
        data = self._read(name)
        # no document type is allowed in these files (ISO/IEC 29500-2), and one could unfold without end
        if not data or b"<!DOCTYPE" in data or b"<!ENTITY" in data:
            return None
        try:
            return ElementTree.fromstring(data)
        except ElementTree.ParseError:
            return None

    def _find_sheets(self) -> dict[str, str]:
        """The file of each sheet within the package, by the sheet's name."""
        links = self._xml("xl/_rels/workbook.xml.rels")
        book = self._xml("xl/workbook.xml")
        if links is None or book is None:
            return {}
        targets = {link.get("Id", ""): link.get("Target", "") for link in links}
        found = {}
        for item in book.iter():
            if item.tag.endswith("}sheet"):
                key = next((value for name, value in item.attrib.items() if name.endswith("}id")), "")
                target = targets.get(key, "")
                found[item.get("name", "")] = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
        return found

    def _find_styles(self) -> dict[int, Shown]:
        """The cell styles whose number format shows more than the number."""
        root = self._xml("xl/styles.xml")
        if root is None:
            return {}
        codes = dict(_PERCENT)
        found: dict[int, Shown] = {}
        for item in root.iter():
            if item.tag.endswith("}numFmt") and (item.get("numFmtId") or "").isdecimal():
                codes[int(item.get("numFmtId", "0"))] = item.get("formatCode", "")
        for item in root.iter():
            if item.tag.endswith("}cellXfs"):
                for place, style in enumerate(item):
                    shown = shown_by(codes.get(int(style.get("numFmtId") or 0), ""))
                    if shown:
                        found[place] = shown
        return found


def shown_by(code: str) -> Shown | None:
    """What a number format adds to a number: ``shown_by('0.0" mΩ"') == Shown(0, "mΩ")``; None for nothing."""
    positive = _sections(code)[0]
    literal, plain, after = "", "", False
    for kind, text in positive:
        if kind == "plain" and text in "0#?":
            literal, after = "", True
        if kind == "literal" and after:
            literal += text
        if kind == "plain":
            plain += text
    if not after or re.search(r"[ymdhsYMDHS]", plain):  # a text or a date
        return None
    scaled = re.search(r"[0#?](,+)(?![0#?,])", plain)
    power = -3 * len(scaled[1]) if scaled else 0
    if "%" in plain:
        return Shown(power + 2, "%")
    unit = literal.replace("\u00a0", " ").strip()
    if not is_unit(unit):
        unit = ""
    return Shown(power, unit) if power or unit else None


def _sections(code: str) -> list[list[tuple[str, str]]]:
    """A number format taken apart: its sections, each of characters that are literal or plain."""
    sections: list[list[tuple[str, str]]] = [[]]
    pattern = re.compile(r'"([^"]*)"|\\(.)|_.|\*.|\[[^\]]*\]|(;)|(.)', re.DOTALL)
    for match in pattern.finditer(code):
        if match[3]:
            sections.append([])
        elif match[4]:
            sections[-1].append(("plain" if match[4] in "0#?.,%ymdhsYMDHSeEgG@/" else "literal", match[4]))
        elif match[1] is not None or match[2]:
            sections[-1].append(("literal", match[1] if match[1] is not None else match[2]))
    return sections


def _index(letters: bytes) -> int:
    place = 0
    for letter in letters:
        place = place * 26 + letter - 64
    return place - 1
