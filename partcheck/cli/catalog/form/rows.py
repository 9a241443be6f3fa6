"""The rows of a point table in the form: typed or pasted, changed, taken out, put in between."""

import re
from collections.abc import Callable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any

from partcheck.cli.catalog.form import wording
from partcheck.cli.catalog.form.screen import Back, ask, say, say_lines, say_slip, wording_lines
from partcheck.jobs.entry.drafts import PartDraft
from partcheck.jobs.entry.review import PEERS
from partcheck.parameters import KINDS
from partcheck.parts import Part
from partcheck.parts.entry import Entry, NotSo, RowReader
from partcheck.report.lines import columns as aligned

if TYPE_CHECKING:
    from partcheck.catalog import Catalog

ROW_HELP = "2 = ... rewrites row 2, 2 = - takes it out, 2 + ... puts a row before it"
_CHANGED = re.compile(r"(\d{1,4})\s*([=+])\s*(\S.*)")


class TableRows:
    """The part of a dialogue that asks for tables; and the entry that it is about."""

    draft: PartDraft
    catalog: "Catalog"
    doubt: Callable[[Sequence[str]], None]
    set_source: Callable[[str], None]

    @property
    def entry(self) -> Entry:
        """The entry so far."""
        return self.draft.entry

    @property
    def kind(self) -> str:
        """The kind of part."""
        return self.entry.kind

    @cached_property
    def known(self) -> list[Part]:
        """Parts of this kind that the catalog has: of many, those that tell what is usual."""
        return self.catalog.some(self.kind, PEERS)

    @cached_property
    def tables(self) -> dict[str, Any]:
        """The point tables of the kind, by name."""
        return {table.name: table for table in KINDS[self.kind].tables}

    def ask_table(self, name: str) -> None:
        """Ask for the rows of a table, one per line, until an empty line."""
        table, reader = self.tables[name], RowReader(self.tables[name])
        for line in wording.table_question(self.kind, table):
            say(line)
        self.show_rows(name)
        typed = 0
        while True:
            rows = self.entry.rows.get(name, [])
            try:
                line = ask(f"{name} row {len(rows) + 1}: ")
            except Back:
                if not typed or not rows:
                    raise
                typed -= 1
                self.put_rows(name, rows[:-1])
                say("The last row is taken back.")
                continue
            text = line.strip()
            if not text:
                self.doubt([name])
                return
            if text == "?":
                say_lines(["", *wording_lines(wording.explain(self.kind, name, self.known)), ""])
            elif text.startswith("@"):
                self.set_source(text[1:])
            elif text == "-":
                self.put_rows(name, [])
                say("All rows are cleared.")
            elif changed := _CHANGED.fullmatch(text):
                self.change_row(reader, name, int(changed[1]), changed[2], changed[3])
            else:
                typed += self.take_row(reader, name, line)

    def take_row(self, reader: RowReader, name: str, line: str) -> int:
        """Take one line as a header or a row; how many rows came of it."""
        try:
            if reader.header(line):
                say(f"Columns in this order: {', '.join(reader.columns)}.")
                return 0
            row = reader.row(line)
        except NotSo as slip:
            say_slip(slip)
            return 0
        return int(self.put_rows(name, [*self.entry.rows.get(name, []), row]))

    def change_row(self, reader: RowReader, name: str, number: int, sign: str, text: str) -> None:
        """Change the row of that number, take it out where ``text`` is ``-``, or with ``+`` put one before it."""
        rows = list(self.entry.rows.get(name, []))
        if not 1 <= number <= len(rows):
            has = f"has rows 1 to {len(rows)}" if rows else "has no rows yet"
            say(f"There is no row {number}; {name} {has}.")
            return
        takes_out = sign == "=" and text == "-"
        try:
            made = [] if takes_out else [reader.row(text)]
        except NotSo as slip:
            say_slip(slip)
            return
        rows[number - 1 : number - (sign == "+")] = made
        if self.put_rows(name, rows):
            say(f"Row {number} is {'taken out' if takes_out else 'put in' if sign == '+' else 'changed'}.")
            self.show_rows(name)

    def put_rows(self, name: str, rows: Sequence[dict[str, Any]]) -> bool:
        """State these rows and keep the draft; False, with a sentence said, where one cannot stand."""
        try:
            self.entry.put_rows(name, rows)
        except NotSo as slip:
            say_slip(slip)
            return False
        self.draft.keep()
        return True

    def show_rows(self, name: str) -> None:
        """The rows that are there already, with their numbers."""
        rows = self.entry.rows.get(name, [])
        if rows:
            names = list(self.tables[name].columns())
            numbered = [[str(i), *(str(row.get(column, "-")) for column in names)] for i, row in enumerate(rows, 1)]
            say_lines(aligned([["", *names], *numbered]))
            say(f"Further rows are added; {ROW_HELP}; - clears them all.")


__all__ = ["ROW_HELP", "TableRows"]
