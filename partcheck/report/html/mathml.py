"""A formula set as MathML, from the same tree that the text of an explanation is written from."""

import math
import re
import string
from typing import Any

from markupsafe import Markup

from partcheck.operations import Operation
from partcheck.readings.trace import Leaf, Traced, TracedTable, digits, symbols
from partcheck.report.lines import number

RANKS = {"+": 1, "−": 1, "·": 2, "/": 2}
MARKS = {"+": "+", "−": "−", "·": "⋅"}
ENDS = frozenset({"min", "max", "typ", "hot", "cold", "low", "high", "peak", "stated", "allowed", "limit", "least"})
"""Last words of a name that are set as its index."""


LONGEST, PRINTED, NARROW = 90, 72, 26
"""Characters beyond which a formula is told as text, which breaks into lines; then on paper; then on a phone."""
_TAGS = re.compile("<[^>]*>")


def formula(made: Any, value: float, unit: str) -> Markup:
    """A formula in names and its result: ``k_vds ⋅ vds_max = 48 V``."""
    result = number(value, unit)
    return _set(Markup("{}<mo>=</mo>{}").format(tree(made)[0], quantity(result)), symbols(made), result)


def named(name: str, inner: Any, value: float | None, unit: str) -> Markup:
    """A named step: its name, its formula, its result."""
    result = number(value if value is not None else math.nan, unit)
    row = Markup("{}<mo>=</mo>{}<mo>=</mo>{}").format(identifier(name), tree(inner)[0], quantity(result))
    return _set(row, f"{name} = {symbols(inner)}", result)


def _set(row: Markup, words: str, result: str) -> Markup:
    length = len(_TAGS.sub("", row))
    if length > LONGEST:
        return told(words, result)
    if length <= NARROW:
        return Markup('<math display="block"><mrow>{}</mrow></math>').format(row)
    kind = "wide long" if length > PRINTED else "wide"
    form = '<math display="block" class="{}"><mrow>{}</mrow></math><span class="narrow">{}</span>'
    return Markup(form).format(kind, row, told(words, result))


def told(words: str, result: str) -> Markup:
    """A formula as text, its middle left out where it is long."""
    return Markup("<code>{} = {}</code>").format(shortened(words), result)


def shortened(text: str) -> str:
    """A long formula with its middle left out."""
    return text if len(text) <= 600 else f"{text[:420]} … {text[-160:]}"


def identifier(name: str) -> Markup:
    """A name of a value, its last word as an index where it tells an end or a state."""
    stem, bracket, rest = name.partition("[")
    words = stem.split("_")
    after = Markup("<mtext>{}</mtext>").format(f" ({rest.rstrip(']')})") if bracket else Markup("")
    if len(words) > 1 and words[-1] in ENDS:
        head = Markup("<msub><mi>{}</mi><mi>{}</mi></msub>").format("_".join(words[:-1]), words[-1])
    elif len(words) > 1 and words[0] == "k":
        head = Markup("<msub><mi>k</mi><mi>{}</mi></msub>").format("_".join(words[1:]))
    else:
        head = Markup('<mi mathvariant="normal">{}</mi>' if len(stem) == 1 else "<mi>{}</mi>").format(stem)
    return Markup("<mrow>{}{}</mrow>").format(head, after) if bracket else head


def quantity(text: str) -> Markup:
    """A number with its unit, from its text."""
    head, space, unit = text.partition(" ")
    if not space:
        return Markup("<mn>{}</mn>").format(head)
    return Markup("<mrow><mn>{}</mn><mspace width='0.2em'/><mtext>{}</mtext></mrow>").format(head, unit)


def tree(x: Any) -> tuple[Markup, int]:
    """The MathML of an operand in names, and how tightly its outermost operator binds."""
    if isinstance(x, TracedTable):
        return identifier(x.leaf.name), 3
    if not isinstance(x, Traced):
        return quantity(digits(x)), 3
    if x.name:
        return identifier(x.name), 3
    how = x.how
    if isinstance(how, Leaf):
        return (identifier(how.name) if how.name else quantity(digits(x))), 3
    if how == "no row":
        return Markup("<mtext>{}</mtext>").format(f"no stated row of {x.args[0].leaf.name} applies"), 3
    if isinstance(how, Operation):
        return _operation(x, how)
    return _marked(x, how)


def _operation(x: Traced, how: Operation) -> tuple[Markup, int]:
    if how.name == "keep" and x.value == x.value:
        return tree(x.args[0])
    if how.name == "assume":
        return tree(x.args[1])
    if how.name == "per_time":
        return _marked(x, "·")
    if how.name == "sqrt":
        return Markup("<msqrt>{}</msqrt>").format(tree(x.args[0])[0]), 3
    if how.name == "power":
        return Markup("<msup>{}{}</msup>").format(_held(x.args[0], 4), tree(x.args[1])[0]), 3
    pieces = Markup("")
    for text, place, _, _ in string.Formatter().parse(how.form):
        if text:
            pieces += Markup("<mtext>{}</mtext>").format(text.replace(" ", "\N{NO-BREAK SPACE}"))
        if place is not None:
            pieces += tree(x.args[int(place)])[0]
    return Markup("<mrow>{}</mrow>").format(pieces), 1 if how.name == "keep" else 3


def _marked(x: Traced, mark: str) -> tuple[Markup, int]:
    if mark == "/":
        return Markup("<mfrac>{}{}</mfrac>").format(tree(x.args[0])[0], tree(x.args[1])[0]), 3
    rank = RANKS[mark]
    left, right = _held(x.args[0], rank), _held(x.args[1], rank + (mark == "−"))
    return Markup("<mrow>{}<mo>{}</mo>{}</mrow>").format(left, MARKS[mark], right), rank


def _held(x: Any, rank: int) -> Markup:
    """An operand, in parentheses where it binds more loosely."""
    made, own = tree(x)
    return Markup("<mrow><mo>(</mo>{}<mo>)</mo></mrow>").format(made) if own < rank else made


__all__ = ["formula", "identifier", "named", "quantity", "shortened", "tree"]
