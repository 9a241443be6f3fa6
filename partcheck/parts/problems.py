"""What is wrong with a sheet or a record: every cell at once, each with what to do about it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from partcheck.errors import PartsError

_LONGEST = 80  # characters of a cell quoted in a message
_MANY = 3  # cells with one cause from which one line tells of all
_NAMED = 5  # further rows that such a line names


def quoted(text: object) -> str:
    """A cell on one line and not too long, whatever it holds: ``quoted("1,5 V") == "'1,5 V'"``."""
    shown = repr(text) if isinstance(text, str) else " ".join(repr(text).split())
    return shown if len(shown) <= _LONGEST else f"{shown[: _LONGEST - 4]}...{shown[-1]}"


def did_you_mean(word: str, known: Iterable[str], otherwise: str = "") -> str:
    """A suggestion out of ``known``, else ``otherwise``: ``did you mean vds_max?``"""
    from difflib import get_close_matches  # not needed while nothing is wrong

    spelled = {name.casefold(): name for name in known}
    near = get_close_matches(word.strip().casefold(), spelled, 1)
    return f"did you mean {spelled[near[0]]}?" if near else otherwise


@dataclass(frozen=True)
class Problem:
    """One value of one part that cannot stand.

    ``reason`` is what follows the text in a sentence (``is outside 5 V..2 kV``), ``suggestion`` what to
    write instead. ``table`` and ``row`` (counted from 0) tell the row of a point table, if it is in one.
    """

    column: str
    text: str
    reason: str
    suggestion: str = ""
    table: str = ""
    row: int = 0

    def __str__(self) -> str:
        subject = quoted(self.text) if self.text else "it"
        return f"{subject} {self.reason}" + (f"; {self.suggestion}" if self.suggestion else "")


@dataclass(frozen=True)
class BadCell:
    """A problem and where it is: the row of a sheet (the header is row 1), or the part of a JSON file.

    ``sheet`` is that of a workbook, ``header`` the column's header where the sheet calls it otherwise. ``str()`` is
    the sentence: ``mosfet.csv row 7, column vds_max: '1,5 V' is …; write 1.5 V``.
    """

    file: str
    row: int
    column: str
    text: str
    reason: str
    suggestion: str = ""
    counted: str = "row"
    sheet: str = ""
    header: str = ""

    def __str__(self) -> str:
        place = f"{self.file} sheet {self.sheet}" if self.sheet else self.file
        place = f"{place} {self.counted} {self.row}" if self.row else place
        name = f"'{self.header}' ({self.column})" if self.header else self.column
        column = f", column {name}" if self.counted == "row" else f", {name}"
        problem = Problem(self.column, self.text, self.reason, self.suggestion)
        return f"{place}{column if self.column else ''}: {problem}"


class BadPart(PartsError):
    """A part with values that cannot stand; ``problems`` has every one of them."""

    def __init__(self, name: str, problems: Sequence[Problem]) -> None:
        sentences = [f"{_within(p)}{p.column}: {p}" for p in problems]
        many = f"{name} has {len(problems)} bad values; correct them and read again, first {sentences[0]}"
        one = f"{name}, {sentences[0]}"
        super().__init__(one if len(problems) == 1 else many, [f"{name}, {each}" for each in sentences])
        self.problems = tuple(problems)


def _within(problem: Problem) -> str:
    return f"{problem.table} row {problem.row + 1}, " if problem.table else ""


def cell_of(problem: Problem, file: str, part: int) -> BadCell:
    """Where a problem of the ``part``-th part of a JSON file is."""
    column = _within(problem) + problem.column
    return BadCell(file, part, column, problem.text, problem.reason, problem.suggestion, "part")


def refuse(bad: Sequence[BadCell]) -> None:
    """Raise :class:`PartsError` if there is any bad cell: how many in how many files, each cause in the details."""
    if not bad:
        return
    files = len({cell.file for cell in bad})
    what = {"cell" if cell.row else "sheet" for cell in bad}  # a name of a sheet or file has no row
    many = " or ".join(f"{each}s" for each in sorted(what))
    cells = f"1 {what.pop()} is" if len(bad) == 1 else f"{len(bad)} {many} are"
    where = "1 file" if files == 1 else f"{files} files"
    sentence = f"{cells} bad in {where}; correct what is listed and read again, first {bad[0]}"
    raise PartsError(sentence, causes(bad))


def causes(bad: Sequence[BadCell]) -> list[str]:
    """A sentence for each bad cell; one for all where the same is wrong in several rows of a column.

    It is the first cell's, with how many more there are and the first of their rows.
    """
    alike: dict[tuple[str, ...], list[BadCell]] = {}
    for cell in bad:
        key = (cell.file, cell.sheet, cell.column, cell.header, cell.reason, cell.counted)
        alike.setdefault((*key, "" if cell.row else cell.text), []).append(cell)
    made: list[str] = []
    for first, *more in alike.values():
        if len(more) + 1 < _MANY:
            made += map(str, (first, *more))
            continue
        rows = ", ".join(str(cell.row) for cell in more[:_NAMED]) + (", ..." if len(more) > _NAMED else "")
        made.append(f"{first}; the same in {len(more)} more {first.counted}s: {rows}")
    return made
