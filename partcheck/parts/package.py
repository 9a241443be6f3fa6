"""Inside an XLSX file (ISO/IEC 29500): what a reader of plain values does not tell.

A cell with an error has no value to such a reader, nor has a formula that no spreadsheet ever calculated; and a number
shown as ``28 mΩ`` or ``10 %`` by its number format is 28 or 0.1 to it. Each would be read wrongly, or lost, in silence.
"""

import html
import posixpath
import re
import zipfile
from collections.abc import Iterator
from decimal import Decimal
from typing import NamedTuple
from xml.etree import ElementTree

from partcheck.parts.grid import column_letters
from partcheck.units import is_unit

_CELL = re.compile(rb"<(?:\w+:)?c\b([^>]*?)(?:/>|>(.*?)</(?:\w+:)?c>)", re.DOTALL)
_PLACE = re.compile(rb"""\br\s*=\s*["']([A-Za-z]+)([0-9]+)["']""")
_STYLE = re.compile(rb'\bs="([0-9]+)"')
_VALUE = re.compile(rb"<(?:\w+:)?(?:v|t)\b[^>]*>([^<]+)<")
_HAS_VALUE = re.compile(rb"<(?:\w+:)?(?:v|t)\b")
_FORMULA = re.compile(rb"<(?:\w+:)?f(?:\s[^>]*)?>([^<]+)<")
_ERROR = re.compile(rb"""\bt=["']e["']""")
_ROW = re.compile(rb"""<(?:\w+:)?row\b[^>]*?\br\s*=\s*["']([0-9]+)["']""")
_LOW = re.compile(rb"""\br\s*=\s*["'][A-Za-z]+([0-9]{5,})["']""")
_WIDER = (  # the widest column that a sheet can have, by whether a cell is found there
    (re.compile(rb"""\br\s*=\s*["'][A-Za-z]{4,}[0-9]"""), 26**4),
    (re.compile(rb"""\br\s*=\s*["'][A-Za-z]{3}[0-9]"""), 16_384),
    (re.compile(rb"""\br\s*=\s*["'][B-Zb-z][A-Za-z][0-9]"""), 702),
    (re.compile(rb"""\br\s*=\s*["'][Aa][A-Za-z][0-9]"""), 52),
)
_PERCENT = {9: "0%", 10: "0.00%"}  # number formats that every spreadsheet knows by number (18.8.30)


class Shown(NamedTuple):
    """How a number format shows a number: times a power of ten, with a unit behind it.

    ``beside`` is whatever else stands before or behind it, such as a currency.
    """

    power: int
    unit: str
    beside: str = ""

    def text(self, value: float) -> str:
        """``Shown(2, "%").text(0.1) == "10 %"``."""
        digits = f"{Decimal(repr(value)).scaleb(self.power).normalize():f}"
        return f"{digits} {self.unit}".rstrip()


SPARSE, FILLED = 4_000_000, 20
"""Cells of a sheet of which fewer than one in ``FILLED`` has a value: 40 bytes for each are laid out."""


class Package:
    """An open XLSX file."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive
        self._names = set(archive.namelist())
        self._sheets = self._find_sheets()
        self._styles = self._find_styles()
        self._last = ("", b"")

    @property
    def has_macros(self) -> bool:
        """Whether it brings programs of its own."""
        return any(name.endswith("vbaProject.bin") for name in self._names) or b"macroEnabled" in self._read(
            "[Content_Types].xml"
        )

    def far_cell(self, sheet: str, most: int) -> str:
        """The last cell with a value of a sheet that spans more than ``most`` cells, such as ``ABC9000``; else empty.

        A reader lays out every cell up to the last one, so a stray one far away takes all memory; of a sheet that is
        almost all blank fewer cells are too many.
        """
        data = self._sheet(sheet)
        start = max(data.rfind(b"<row "), data.rfind(b":row "))
        last = _ROW.search(data, max(0, start - 20)) if start >= 0 else None
        lowest = max((int(found[1]) for found in _LOW.finditer(data)), default=0)  # a row need not state its number
        height = max(int(last[1]) if last else 0, data.count(b"<row") + data.count(b":row"), lowest)
        width = next((most_wide for pattern, most_wide in _WIDER if pattern.search(data)), 26)
        if max(height, 1) * width <= min(SPARSE, 26**4 - 1):
            return ""
        bottom = right = count = 0
        for match in _CELL.finditer(data):
            place = _PLACE.search(match[1])
            if place and match[2] and _HAS_VALUE.search(match[2]):
                bottom, right, count = max(bottom, int(place[2])), max(right, _index(place[1]) + 1), count + 1
        far = bottom * right > (SPARSE if count * FILLED < bottom * right else most)
        return f"{column_letters(right - 1)[:8]}{bottom}" if far else ""

    def _sheet(self, sheet: str) -> bytes:
        """The XML of a sheet; the last one is kept, since it is looked at twice."""
        if self._last[0] != sheet:
            data = self._read(self._sheets.get(sheet, ""))
            if not data:
                raise ValueError(f"it has no file for the sheet {sheet}")
            self._last = (sheet, data)
        return self._last[1]

    def peculiar(self, sheet: str) -> Iterator[tuple[tuple[int, int], str | Shown]]:
        """Row (from 1) and column (from 0) of cells whose value alone does not say what they show, and what they do.

        A text is an error code or, for a formula without a value, the formula.
        """
        data = self._sheet(sheet)
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
            formula = _FORMULA.search(body)
            return f"={html.unescape(formula[1].decode('utf-8', 'replace'))}" if formula else "="
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
        start = self._linked("", "officeDocument")
        self._book = next(iter(start.values()), "xl/workbook.xml")
        book, files = self._xml(self._book), self._linked(self._book, "sheet")
        if book is None:
            raise ValueError("it names no workbook")
        found = {}
        for item in book.iter():
            if item.tag.endswith("}sheet"):
                key = next((value for name, value in item.attrib.items() if name.endswith("}id")), "")
                found[item.get("name", "")] = files.get(key, "")
        return found

    def _linked(self, source: str, kind: str) -> dict[str, str]:
        """The files that a part of the package refers to as of some kind, by the names it has for them."""
        folder, name = posixpath.split(source)
        links = self._xml(posixpath.join(folder, "_rels", f"{name}.rels"))
        found = {}
        for link in links if links is not None else ():
            if link.get("Type", "").endswith(kind):
                target = link.get("Target", "")
                path = target[1:] if target.startswith("/") else posixpath.normpath(posixpath.join(folder, target))
                found[link.get("Id", "")] = path
        return found

    def _find_styles(self) -> dict[int, Shown]:
        """The cell styles whose number format shows more than the number."""
        root = self._xml(next(iter(self._linked(self._book, "/styles").values()), "xl/styles.xml"))
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
                    code = codes.get(int(style.get("numFmtId") or 0), "")
                    shown, beside = shown_by(code), text_beside(code)
                    if shown or beside:
                        found[place] = (shown or Shown(0, ""))._replace(beside=beside)
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


def text_beside(code: str) -> str:
    """What a number format writes beside a number: ``text_beside('0.00" ct"') == "ct"``; a currency by its sign."""
    if "0" not in code and "#" not in code:
        return ""
    signs = re.findall(r"\[\$([^\]-]+)", code.partition(";")[0])
    literal = "".join(text for kind, text in _sections(code)[0] if kind == "literal")
    return " ".join(f"{' '.join(signs)} {literal}".replace("\u00a0", " ").split()).strip("-+() ")


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
    for letter in letters.upper():
        place = place * 26 + letter - 64
    return place - 1
