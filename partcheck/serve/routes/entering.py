"""Entering a part from its datasheet in one form: a new one, a variant, or changes; two tabs on one part are merged."""

import json
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.datastructures import FormData

from partcheck.catalog import Catalog
from partcheck.errors import ChangedMeanwhile, NoCatalogYet, PartcheckError, UsageError
from partcheck.jobs.entry.consequences import missing_by_value, unproven
from partcheck.jobs.entry.merging import SOURCE, MergedValue, three_ways
from partcheck.jobs.entry.review import PEERS
from partcheck.jobs.entry.sheet_form import fill, groups, texts
from partcheck.parameters import KINDS
from partcheck.parts import Part
from partcheck.parts.checks import IDENTITY, unknown_kind
from partcheck.parts.documents import from_record, to_record
from partcheck.parts.entry import Entry
from partcheck.parts.review import review_one
from partcheck.report.answers.history.document import said as value_said
from partcheck.serve.bench import Bench, OnBench
from partcheck.serve.pages import WayTo, address, page
from partcheck.serve.routes.catalog import Written, catalog_ways
from partcheck.serve.routes.parts import KindOf, Maker, Number, asked_of, known_part, part_ways
from partcheck.serve.writing import login, now, who, word

router = APIRouter()
VALUE, WHOSE = "v.", "whose."
"""Before the name of a field that holds a value, and of the choice between two people's values."""
SOURCES = ("document", "revision", "page", "measured")
LONGEST_FIELD = 20_000
TITLES = {"add": "Add a part", "edit": "Edit", "copy": "Copy"}


@dataclass
class Filled:
    """A form as it came: which part it is about, what it began with, what was typed."""

    what: str
    kind: str
    base: dict[str, Any] | None
    """The record that an edit began with."""
    of: str
    """The part that a copy is of."""
    typed: dict[str, str]
    source: dict[str, str]
    by: str = ""
    whose: dict[str, str] = field(default_factory=dict)
    slips: dict[str, list[str]] = field(default_factory=dict)

    def entry(self) -> Entry:
        """What the form began with; its source is that of what is changed now."""
        if self.base is None:
            made = Entry(self.kind)
            if self.of:
                made.base = {"copied": self.of}
            return made
        return Entry.of(from_record(self.base, "the part that this form began with"))


def _filled(form: FormData) -> Filled:
    what, kind = word(form, "what"), word(form, "kind")
    if what not in TITLES or kind not in KINDS:
        raise UsageError("the form does not say which part it is about; load the page again")
    typed = {}
    for name, text in form.items():
        if name.startswith(VALUE) and isinstance(text, str):
            if len(text) > LONGEST_FIELD:
                raise UsageError(f"{name.removeprefix(VALUE)} is longer than {LONGEST_FIELD} characters; shorten it")
            typed[name.removeprefix(VALUE)] = text.replace("\r\n", "\n")
    source = {name: word(form, f"source.{name}").strip() for name in SOURCES}
    whose = {name.removeprefix(WHOSE): word(form, name) for name in form if name.startswith(WHOSE)}
    base = _base(word(form, "base"), kind) if what == "edit" else None
    return Filled(what, kind, base, word(form, "of"), typed, source, who(form), whose)


def _base(text: str, kind: str) -> dict[str, Any]:
    lost = UsageError("the form does not hold what it began with; load the page again")
    try:
        made = json.loads(text)
    except (ValueError, RecursionError):
        raise lost from None
    if not isinstance(made, dict) or made.get("kind", kind) != kind:
        raise lost
    part = from_record(made, "the part that this form began with")
    if part.kind != kind:
        raise lost
    return to_record(part)


def _read(filled: Filled, by: str, when: str) -> Part | None:
    """The part that the form states; None, with what is wrong by field, where it states none."""
    entry = filled.entry()
    pieces = filled.source["measured"]
    entry.source = {name: text for name, text in filled.source.items() if text and name != "measured"}
    entry.source |= {"entered_by": by, "entered_on": when[:10]}
    if pieces:
        if not (pieces.isascii() and pieces.isdecimal() and 0 < len(pieces) < 7 and int(pieces)):
            filled.slips["source"] = [f"{pieces!r} is not a number of pieces measured; write a whole number such as 5"]
            return None
        entry.source["measured"] = int(pieces)
    typed = dict(filled.typed)
    if filled.what == "edit":
        typed = {name: text for name, text in typed.items() if name not in IDENTITY}
    for column, choice in filled.whose.items():
        if choice == "theirs":
            typed = {name: text for name, text in typed.items() if name != column}
    part, slips = fill(entry, typed)
    filled.slips |= slips
    return part if not filled.slips else None


# ---- pages


def _known(bench: Bench, kind: str) -> list[Part]:
    """Parts that tell which packages and pin orders are usual."""
    with suppress(NoCatalogYet), bench.open_catalog() as opened:
        return opened.some(kind, PEERS)
    return []


def _page(
    request: Request,
    bench: Bench,
    filled: Filled,
    entry: Entry,
    meanwhile: "Meanwhile | None" = None,
    sentence: str = "",
    of_part: list[WayTo] | None = None,
) -> Response:
    slips = filled.slips
    made = groups(entry, filled.typed, _known(bench, entry.kind))
    asked = (question for group in made for question in group.questions)
    titles = {each.name: f"{question.title}, {each.name}" for question in asked for each in question.fields}
    return page(
        request,
        bench,
        "catalog_part_form.html",
        TITLES[filled.what],
        400 if slips or sentence else 409 if meanwhile else 200,
        ways=catalog_ways(request),
        of_part=of_part or [],
        what=filled.what,
        heading=f"{TITLES[filled.what]}: {entry.name}" if filled.what != "add" else f"Add a {KINDS[filled.kind].title}",
        kind=filled.kind,
        kinds={name: kind.title for name, kind in KINDS.items()},
        base=json.dumps(filled.base, ensure_ascii=False) if filled.base is not None else "",
        of=filled.of,
        groups=made,
        slips=slips,
        titles=titles,
        sentence=sentence,
        source=filled.source,
        contested=meanwhile.contested(filled.kind) if meanwhile else {},
        meanwhile=meanwhile.told(filled.kind) if meanwhile else [],
        whose=filled.whose,
        by=filled.by or login(),
        fixed=IDENTITY if filled.what == "edit" else (),
    )


@router.get("/catalog/part/add", response_class=HTMLResponse, include_in_schema=False)
def add(request: Request, bench: OnBench, kind: KindOf = "mosfet") -> Response:
    """A new part."""
    if kind not in KINDS:
        raise UsageError(f"there is no kind of part {kind!r}; {unknown_kind(kind).suggestion}")
    return _page(request, bench, Filled("add", kind, None, "", {}, dict.fromkeys(SOURCES, "")), Entry(kind))


@router.get("/catalog/part/edit", response_class=HTMLResponse, include_in_schema=False)
def edit(request: Request, bench: OnBench, part: Number, maker: Maker = "", kind: KindOf = "") -> Response:
    """Changes to a part."""
    with bench.open_catalog() as opened:
        found = known_part(opened, part, maker, kind)
    made = Filled("edit", found.kind, to_record(found), "", {}, dict.fromkeys(SOURCES, ""))
    return _page(request, bench, made, Entry.of(found), of_part=part_ways(found, "/catalog/part/edit"))


@router.get("/catalog/part/copy", response_class=HTMLResponse, include_in_schema=False)
def copy(
    request: Request,
    bench: OnBench,
    part: Number,
    maker: Maker = "",
    kind: KindOf = "",
    new: Annotated[str, Query(description="part number of the variant", max_length=200)] = "",
) -> Response:
    """A variant of a part: everything is taken over but price, stock and notes."""
    with bench.open_catalog() as opened:
        found = known_part(opened, part, maker, kind)
    entry = Entry.copied(found, new)
    made = Filled("copy", found.kind, None, found.name, texts(entry), dict.fromkeys(SOURCES, ""))
    return _page(request, bench, made, entry, of_part=part_ways(found, "/catalog/part/copy"))


@router.post("/catalog/part/save", response_class=HTMLResponse, include_in_schema=False)
def save(request: Request, bench: OnBench, form: Written) -> Response:
    """Save the part of a form, or show the form again with what is wrong."""
    filled, by, when = _filled(form), who(form), now()
    for column in form.getlist("contested"):
        if filled.whose.get(str(column)) not in ("yours", "theirs"):
            filled.slips.setdefault(str(column), []).append("both of you changed this; choose whose value to keep")
    part = _read(filled, by, when)
    if part is None:
        return _again(request, bench, filled)
    with bench.open_catalog(create=filled.what != "edit") as opened:
        former = from_record(filled.base, part.name) if filled.base is not None else None
        if former is not None and to_record(former) == to_record(part):
            return RedirectResponse(address("/catalog/part", **asked_of(part), said="same"), 303)
        try:
            opened.change(part, former, by, when, filled.what, f"of {filled.of}" if filled.of else "")
        except ChangedMeanwhile as slip:
            return _meanwhile(request, bench, opened, filled, part, slip)
        except UsageError as slip:
            return _again(request, bench, filled, str(slip))
    return RedirectResponse(address("/catalog/part", **asked_of(part), said="changed" if former else "entered"), 303)


def _again(request: Request, bench: Bench, filled: Filled, sentence: str = "") -> Response:
    return _page(request, bench, filled, filled.entry(), None, sentence)


# ---- somebody else was faster


@dataclass
class Meanwhile:
    """What somebody else made of a part since a form began with it."""

    sentence: str
    values: list[MergedValue]

    def contested(self, kind: str) -> dict[str, str]:
        """The values that both changed, and theirs for a reader."""
        return {each.column: _said(kind, each.column, each.there) for each in self.values if each.contested}

    def told(self, kind: str) -> list[str]:
        """A sentence for each value that was changed there."""
        return [self.sentence] + [
            f"{each.column} became {_said(kind, each.column, each.there)} (it was {_said(kind, each.column, each.was)})"
            for each in self.values
            if each.there != each.was
        ]


def _said(kind: str, column: str, value: Any) -> str:
    try:
        return value_said(kind, column, None if value is None else json.dumps(value))
    except (PartcheckError, KeyError, AttributeError):
        return str(value)


def _meanwhile(
    request: Request, bench: Bench, opened: Catalog, filled: Filled, mine: Part, slip: ChangedMeanwhile
) -> Response:
    """The form with both people's changes; of a value that both changed it asks whose stands."""
    theirs = [part for part in opened.named(mine.kind, mine.part_number, mine.maker) if part.key == mine.key]
    if filled.base is None or not theirs:
        sentence = f"{mine.name} is in the catalog already; edit it, or give another number" if theirs else str(slip)
        return _again(request, bench, filled, sentence)
    there = to_record(theirs[0])
    values = [each for each in three_ways(filled.base, to_record(mine), there) if not each.column.startswith(SOURCE)]
    own = {each.column for each in values if each.here not in (each.was, each.there)}
    sentence = str(slip).partition("; look at it again")[0]
    typed = {name: text for name, text in filled.typed.items() if name in own}
    made = Filled("edit", mine.kind, there, "", typed, filled.source, filled.by)
    return _page(
        request,
        bench,
        made,
        Entry.of(theirs[0]),
        Meanwhile(sentence, values),
        of_part=part_ways(mine, "/catalog/part/edit"),
    )


# ---- while one types


@router.post("/catalog/part/check", include_in_schema=False)
def check(bench: OnBench, form: Written) -> JSONResponse:
    """What is wrong, doubtful and left open about the part of a form that is not saved yet."""
    filled = _filled(form)
    part = _read(filled, "", now())
    doubts: list[str] = []
    missing: dict[str, dict[str, list[str]]] = {}
    if part is not None:
        peers = None
        with suppress(NoCatalogYet), bench.open_catalog() as opened:
            peers = bench.peers.of(opened, part.kind)
        doubts = [doubt.reason for doubt in review_one(part, peers)]
        missing = {role: missing_by_value(left) for role, left in unproven(part).items()}
    return JSONResponse({"slips": filled.slips, "doubts": doubts, "missing": missing})
