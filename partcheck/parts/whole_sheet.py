"""What a mapping says about every row of a sheet: values that all its parts have, and what its words mean."""

from collections.abc import Collection, Iterator, Mapping

from partcheck.parts.headers import Vocabulary
from partcheck.parts.problems import Problem, did_you_mean

Words = Mapping[str, Mapping[str, str]]
"""By column: what a text in lower case means; an empty text is a cell that states nothing."""


def constants_of(
    said: Mapping[str, str], columns: Collection[str], words: Vocabulary
) -> tuple[dict[str, str], list[Problem]]:
    """The values that hold for every row, by column, and what is wrong with the others."""
    known = {*words.declared, *words.exact.values()} - {"kind"}
    good: dict[str, str] = {}
    bad: list[Problem] = []
    for name, text in said.items():
        if name not in known:
            advice = did_you_mean(name, known, "write the name of a column")
            bad.append(
                Problem(name, "", "is a constant of the mapping, but not a column that this sheet may have", advice)
            )
        elif name in columns:
            reason = f"is {text} for the whole sheet by the mapping, and a column too"
            bad.append(Problem(name, "", reason, "keep the one that is right"))
        elif text.strip():
            good[name] = text
    return good, bad


def strange_words(said: Words, columns: Collection[str]) -> Iterator[Problem]:
    """A problem for each column that a mapping has words for and the sheet does not have."""
    for name in said:
        if name not in columns:
            advice = did_you_mean(name, filter(None, columns), "leave them out")
            yield Problem(name, "", "has words in the mapping, but is not a column of this sheet", advice)


def translate(record: dict[str, str], said: Words) -> None:
    """Put the words of a record that mean others in their place; what means nothing is taken out."""
    for name, meant in said.items():
        word = meant.get(" ".join(record.get(name, "").split()).casefold())
        if word:
            record[name] = word
        elif word is not None:
            record.pop(name, None)
