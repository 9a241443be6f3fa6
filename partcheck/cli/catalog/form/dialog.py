"""Asking for the values of a part one by one; each answer is checked and kept in the draft at once."""

import re
from collections.abc import Callable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from partcheck.cli.catalog.form import wording
from partcheck.cli.catalog.form.rows import TableRows
from partcheck.cli.catalog.form.screen import Back, Finish, agreed, ask, say, say_lines, say_slip, wording_lines
from partcheck.jobs.entry.drafts import PartDraft
from partcheck.jobs.entry.known import as_known, known_words
from partcheck.parameters import KINDS
from partcheck.parameters.groups import GROUPS, Group
from partcheck.parts.cells import stated, with_unit
from partcheck.parts.checks import IDENTITY, columns
from partcheck.parts.entry import NotSo
from partcheck.parts.problems import did_you_mean
from partcheck.parts.review import Doubt, review_one
from partcheck.parts.review.peers import Peers
from partcheck.report.lines import heading

if TYPE_CHECKING:
    from partcheck.catalog import Catalog

SOURCE, STOP = "source of the values", "enough"
MOST_KNOWN = 8
"""So many known packages or pin orders are told; the tab key completes all of them."""
_LABEL = re.compile(r"[^\d\s.+-].*$")
_PIECES = re.compile(r"n\s*=\s*([1-9][0-9]{0,5})")


class DialogStep(NamedTuple):
    """One question: a column, a table, the source, or whether to go on."""

    name: str
    group: str


class Dialog(TableRows):
    """A conversation about one part; ``draft.entry`` is what came of it so far."""

    def __init__(self, draft: PartDraft, catalog: "Catalog", is_new: bool) -> None:
        self.draft, self.catalog, self.is_new = draft, catalog, is_new
        self.told: set[str] = set()

    @cached_property
    def peers(self) -> Peers:
        """What those state, to compare with."""
        return Peers(self.known)

    # ---- the order of the questions

    def steps(self) -> list[DialogStep]:
        """Every question, in the order in which a datasheet states the answers."""
        made: list[DialogStep] = []
        groups = GROUPS[self.kind]
        for i, group in enumerate(groups):
            for name in self._flat(group):
                made.append(DialogStep(name, group.title))
                if name == "maker":
                    made.append(DialogStep(SOURCE, group.title))
            if group.first and not any(later.first for later in groups[i + 1 :]):
                made.append(DialogStep(STOP, group.title))
        return made

    def _flat(self, group: Group) -> list[str]:
        bounded = {p.name: tuple(p.columns()) for p in KINDS[self.kind].parameters}
        return [column for name in group.names for column in bounded.get(name, (name,))]

    def walk(self, steps: Sequence[DialogStep]) -> None:
        """Ask every question that was not asked yet; ``!`` ends them."""
        i = next((i for i, step in enumerate(steps) if step.name not in self.entry.asked), len(steps))
        group = ""
        while i < len(steps):
            step = steps[i]
            if step.group != group:
                group = step.group
                say_lines(["", *heading(group)])
            try:
                self.take(step.name)
            except Back:
                i = self._before(steps, i)
                continue
            except Finish:
                return
            self.mark(step.name)
            i = self._next(steps, i)

    def _before(self, steps: Sequence[DialogStep], i: int) -> int:
        if i == 0:
            say("This is the first question.")
        return max(i - 1, 0)

    def _next(self, steps: Sequence[DialogStep], i: int) -> int:
        """The question after, or back to the number where the catalog has that part already."""
        if steps[i].name == "maker" and self.is_new and self.is_taken():
            return next(i for i, step in enumerate(steps) if step.name == "part_number")
        done = set(self._answered_along(steps[i].name))
        i += 1
        while i < len(steps) and steps[i].name in done:
            i += 1
        return i

    def _answered_along(self, name: str) -> list[str]:
        """The bounds that were entered together with this one."""
        declared = columns(self.kind).get(name)
        if declared is None or not declared.bounds or name != next(declared.columns()):
            return []
        return [c for c in declared.columns() if c in self._at_once]

    _at_once: tuple[str, ...] = ()

    def is_taken(self) -> bool:
        """Say so where the catalog has a part of that number and maker."""
        number, maker = (str(self.entry.cells.get(name, "")) for name in ("part_number", "maker"))
        if not any(part.part_number == number for part in self.catalog.named(self.kind, number, maker)):
            return False
        say(
            f"The catalog has {self.entry.name} already; change it with `partcheck catalog edit {number}`, "
            "or enter another number."
        )
        return True

    def mark(self, name: str) -> None:
        """Note that this was asked, and keep the draft."""
        if name not in self.entry.asked:
            self.entry.asked.append(name)
        self.draft.keep()

    def take(self, name: str) -> None:
        """Ask for one thing."""
        if name == SOURCE:
            self.ask_source()
        elif name == STOP:
            self.ask_whether_to_go_on()
        elif name in self.tables:
            self.ask_table(name)
        else:
            self.ask_value(name)

    # ---- single values

    def ask_value(self, column: str) -> None:
        """Ask for a single value until the answer can stand."""
        declared = columns(self.kind)[column]
        if not declared.bounds:
            say(wording.value_question(self.kind, column))
        elif column == next(declared.columns()):
            say(wording.bounds_question(self.kind, declared))
        unit = f" [{declared.unit}]" if declared.unit else ""
        self._at_once = ()
        usual = known_words(column, self.known, str(self.entry.cells.get("package", "")))
        if usual:
            say(f"Known already: {', '.join(usual[:MOST_KNOWN])}.")
        while True:
            shown = self.entry.shown(column)
            line = ask(f"{column}{unit}{f' ({shown})' if shown else ''}: ", usual or declared.choices).strip()
            if line in ("", "-") and column in IDENTITY and not (shown and not line):
                say(f"A part cannot be saved without {column}; enter it, or . to leave with a draft.")
            elif not line:
                return
            elif line == "?":
                say_lines(["", *wording_lines(wording.explain(self.kind, column, self.known)), ""])
            elif line.startswith("@"):
                self.set_source(line[1:])
            elif self.answer(column, as_known(line, usual)):
                return

    def answer(self, column: str, line: str) -> bool:
        """Take an answer; False, with a sentence said, where it cannot stand."""
        text, _, condition = (part.strip() for part in line.partition(" @ "))
        declared = columns(self.kind)[column]
        several = [part.strip() for part in re.split(r"\s/\s", text)]
        names = list(declared.columns()) if len(several) > 1 and declared.bounds else [column]
        if len(several) > 1 and declared.bounds:
            if len(several) != len(names):
                say(f"That is {len(several)} values for {' / '.join(declared.bounds)}; write - for one not stated.")
                return False
            label = _LABEL.search(several[-1])
            cells = [with_unit(cell, label[0]) if label else cell for cell in several]
        else:
            cells = [text]
        before = dict(self.entry.cells), dict(self.entry.sources)
        try:
            for name in names[1:] and names:  # the former ones must not stand in each other's way
                self.entry.put(name, "")
            for name, cell in zip(names, cells, strict=True):
                self.entry.put(name, "" if cell == "-" else cell)
                if condition and name in self.entry.sources:
                    self.entry.sources[name]["condition"] = condition
        except NotSo as slip:
            self.entry.cells, self.entry.sources = before
            say_slip(slip)
            return False
        self._at_once = tuple(names) if len(names) > 1 else ()
        for name in self._at_once:
            self.mark(name)
        self.doubt(names)
        return True

    def doubt(self, names: Sequence[str]) -> None:
        """Say at once what is doubtful about what was just entered, each doubt once."""
        part = self.entry.so_far()
        for doubt in [] if part is None else review_one(part, self.peers):
            if set(names) & set(doubt.columns) and doubt.reason not in self.told:
                self.told.add(doubt.reason)
                say(f"Is that right? {doubt.reason}.")

    # ---- where values come from

    def ask_source(self) -> None:
        """Ask once for document, revision and page; they hold for all that follows until they are changed."""
        say("Where the values come from is asked once; @4 later says page 4, @ asks again.")
        for name, what in (("document", "Datasheet (document)"), ("revision", "Revision"), ("page", "Page")):
            former = str(self.entry.source.get(name, ""))
            text = ask(f"{what}{f' ({former})' if former else ''}: ").strip()
            if text:
                self.entry.source[name] = "" if text == "-" else text
        self.entry.source.pop("measured", None)

    def set_source(self, text: str) -> None:
        """``@4``: the page; ``@n=5``: measured on so many pieces; ``@``: ask."""
        text = text.strip()
        pieces = _PIECES.fullmatch(text)
        if not text:
            self.ask_source()
        elif pieces:
            for name in ("document", "revision", "page"):
                self.entry.source.pop(name, None)
            self.entry.source["measured"] = int(pieces[1])
            say(f"What follows was measured on the bench, n = {pieces[1]}.")
        else:
            self.entry.source.pop("measured", None)
            self.entry.source["page"] = re.sub(r"^(p\.|page)\s*", "", text)
            say(f"What follows is from page {self.entry.source['page']}.")
        self.draft.keep()

    def ask_whether_to_go_on(self) -> None:
        """Offer to stop after the values that matter most."""
        later = [group.title.lower() for group in GROUPS[self.kind] if not group.first]
        say(f"That is what matters most. There is more, all optional: {', '.join(later)}.")
        if not agreed("Go on with those?", False):
            raise Finish

    # ---- by name

    def change(self, text: str) -> None:
        """Change what is named: a value, ``name = value``, a table, a group of values, or all."""
        name, equals, value = (part.strip() for part in text.partition("="))
        wanted = self.find(name)
        if not wanted:
            everything = [*columns(self.kind), *self.tables, *(g.title for g in GROUPS[self.kind])]
            advice = did_you_mean(name, everything, "an empty line goes on, ? lists all")
            say(f"There is no value {name!r} of {KINDS[self.kind].one}; {advice}.")
            return
        if self.entry.base is not None and not self.is_new and set(wanted) & {"part_number", "maker"}:
            say("Number and maker are what makes a part; use `partcheck catalog copy` for another one.")
            wanted = [each for each in wanted if each not in ("part_number", "maker")]
        if equals and len(wanted) == 1 and wanted[0] not in self.tables:
            if self.answer(wanted[0], value) if stated(value) else self.answer(wanted[0], "-"):
                self.draft.keep()
            return
        for each in wanted:
            try:
                self.take(each)
            except (Back, Finish):
                return
            self.draft.keep()

    def find(self, name: str) -> list[str]:
        """What a name asks: a column, a parameter with its bounds, a table, a group, a symbol, or all."""
        plain = name.casefold().replace(".", "_")
        for group in GROUPS[self.kind]:
            if plain in (group.title.casefold(), "all"):
                names = self._flat(group)
                return names if plain != "all" else [n for g in GROUPS[self.kind] for n in self._flat(g)]
        for column, declared in columns(self.kind).items():
            if plain == column:
                return [column]
            if plain == declared.name:
                return list(declared.columns())
        for table in self.tables.values():
            if plain in (table.name, *(f"{table.name}_{column}" for column in table.columns())):
                return [table.name]
        symbol: Callable[[str], str] = lambda text: text.casefold().replace("_", "").replace(" ", "")  # noqa: E731
        for each in KINDS[self.kind].parameters:
            if each.symbol and symbol(each.symbol) == symbol(name):
                return list(each.columns())
        return [table.name for table in self.tables.values() if symbol(table.symbol) == symbol(name)][:1]

    def list_all(self) -> None:
        """Every value by group, with what is stated."""
        for group in GROUPS[self.kind]:
            told = []
            for name in self._flat(group):
                rows = self.entry.rows.get(name)
                value = f"{len(rows)} rows" if rows else self.entry.shown(name) if name not in self.tables else ""
                told.append(f"{name} = {value}" if value else name)
            say(f"{group.title}: {', '.join(told)}", "  ")

    def doubts(self) -> list[Doubt]:
        """All that is doubtful."""
        part, _ = self.entry.attempt()
        return [] if part is None else review_one(part, self.peers)


__all__ = ["SOURCE", "STOP", "Dialog", "DialogStep"]
