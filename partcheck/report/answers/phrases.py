"""The words in which a number is told: what a requirement needs and has, rounded to the safe side."""

import math
import re
from collections.abc import Mapping

from partcheck.jobs.judge.place import Judged
from partcheck.policy import ASSUMED, Policy
from partcheck.readings.explain import Compared, Finding
from partcheck.readings.trace import Leaf, Traced
from partcheck.report import document as d
from partcheck.report.lines import counted, percent
from partcheck.report.render.spans import TIED, line_text, verdict_word
from partcheck.requirement import Verdict
from partcheck.units import ZERO_CELSIUS, show

DIGITS, MOST_DIGITS = 3, 7
ENDLESS = {"s": "never", "K": "runaway", "°C": "runaway"}
"""What a number without bound is called, by its unit."""
WITHOUT_END = {
    "s": "never ends",
    "K": "runs away, as the heat finds no equilibrium",
    "J": "grows without bound",
    "W": "grows without bound",
    "A": "grows without bound",
}
NEVER = {"release-time": "never lets go, as the supply is above the clamp"}
"""The same for one requirement."""


def safe(value: float, unit: str, up: bool, digits: int = DIGITS) -> d.Number:
    """A number with few digits, never rounded to the better side: a demand up, a capability down.

    >>> safe(24.04, "V", up=True).text
    '24.1 V'
    >>> safe(-math.inf, "V", up=False).text
    'none'
    """
    if math.isinf(value):
        bound = "no limit" if value > 0 else "none"
        return d.Number(value, unit, ENDLESS.get(unit, "no bound") if up else bound)
    if not math.isfinite(value):
        return d.Number(value, unit)
    return d.Number(value, unit, show(_rounded(value, unit, up, digits), unit, digits))


def _rounded(value: float, unit: str, up: bool, digits: int) -> float:
    offset = ZERO_CELSIUS if unit == "°C" else 0.0
    told = value - offset
    if told == 0:
        return value
    step = 10.0 ** (math.floor(math.log10(abs(told))) - digits + 1)
    near = math.ceil(told / step - 1e-9) if up else math.floor(told / step + 1e-9)
    return float(f"{near * step:.{digits + 2}g}") + offset


def tally(counts: Mapping[Verdict, int]) -> str:
    """How many of what was compared have each verdict: ``8 meet, 1 is tight, 4 are unproven, 11 fail``."""
    told = []
    for verdict in sorted(Verdict, reverse=True):
        one = counts[verdict] == 1
        word = verdict.word if verdict in (Verdict.MEETS, Verdict.FAILS) else f"{'is' if one else 'are'} {verdict.word}"
        told.append(f"{counts[verdict]} {word if one or word.startswith('are') else word.removesuffix('s')}")
    return ", ".join(told)


YES = "1: "
"""How the meaning of an assumption begins that is made or not made."""


def sides(finding: Finding) -> tuple[d.Line, d.Line]:
    """What a requirement needs and has, for two columns; of words what is wanted and what it is."""
    if not finding.requirement.discrete or finding.requirement.unit:
        needed, has = both(finding)
        return (needed,), (has,)
    it_is, found, wanted = finding.compared[0].capability_digits.partition(" is one of ")
    if finding.verdict is Verdict.UNPROVEN or not found:
        return needs(finding), ()
    return (d.Name(wanted),), (d.Name(it_is),)


def both(finding: Finding) -> tuple[d.Number, d.Number]:
    """What the worst pair of a requirement demands and has, with as many digits as tell on which side it is."""
    worst, unit = finding.compared[0], finding.requirement.unit
    digits = DIGITS
    if math.isfinite(worst.demand) and math.isfinite(worst.capability):
        meets = worst.demand <= worst.capability
        for digits in range(DIGITS, MOST_DIGITS):
            needed, has = _rounded(worst.demand, unit, True, digits), _rounded(worst.capability, unit, False, digits)
            if (needed <= has) == meets:
                break
    return safe(worst.demand, unit, True, digits), safe(worst.capability, unit, False, digits)


def headroom(finding: Finding) -> d.Number:
    """The headroom of a requirement in per cent."""
    return share(finding.headroom)


def share(value: float) -> d.Number:
    """A headroom in per cent; a dash where there is none to tell."""
    return d.Number(value, "", percent(value))


def to_spare(value: float) -> d.Line:
    """``35 % to spare``, or ``20 % short``."""
    if value != value:
        return ()
    if value == -math.inf:
        return ("nothing to meet it with",)
    if value < 0:
        return d.line(d.Number(value, "", percent(-value)), " short")
    return d.line(share(value), " to spare")


def sign(finding: Finding) -> d.Sign:
    """The verdict of a requirement; of a footprint the words for a change of the board."""
    return d.Sign(finding.verdict, "" if finding.counts else "other footprint")


def missing(finding: Finding) -> str:
    """The values that an unproven requirement lacks."""
    return "; ".join(finding.story.missing) or "a value"


OF_PATTERN = {"pin-order": "pins are", "package": "package is"}
"""What of a part its land pattern takes, in words."""


def needs(finding: Finding, sources: bool = True) -> d.Line:
    """What a requirement needs and has: ``needs 15.5 V (rail 15 V + D2 452 mV), has 48 V``."""
    if finding.verdict is Verdict.UNPROVEN:
        return d.line("not stated: ", missing(finding))
    worst = finding.compared[0]
    has, found, wanted = worst.capability_digits.partition(" is one of ")
    if finding.requirement.discrete and found:
        if finding.as_fitted and finding.id in OF_PATTERN:
            return d.line(
                f"the fitted part's {OF_PATTERN[finding.id]} ", d.Name(has), ", the land pattern is ", d.Name(wanted)
            )
        return d.line("it is ", d.Name(has), "; wanted is ", d.Name(wanted))
    needed, has_it = both(finding)
    if math.isinf(worst.demand):
        endless = NEVER.get(finding.id) or WITHOUT_END.get(finding.requirement.unit, "has no bound")
        return d.line(endless, "; allowed is ", has_it) if math.isfinite(worst.capability) else d.line(endless)
    where = origin(worst) if sources else ""
    return d.line("needs ", needed, f" ({where})" if where else "", ", has ", has_it)


def plain_needs(finding: Finding) -> str:
    """The same in plain words, for a note."""
    return line_text(needs(finding, sources=False)).replace(TIED, " ")


def origin(worst: Compared) -> str:
    """Where a demand that is one number of the board comes from; nothing for a formula."""
    return source_of(worst.traced[0])


def source_of(made: object) -> str:
    """Where a number comes from that the board states or works out in one step; nothing for a formula."""
    while isinstance(made, Traced) and made.how == "=" and made.args:
        made = made.args[0]
    if isinstance(made, Traced) and isinstance(made.how, Leaf) and not made.how.from_part:
        source = _INTERNAL.sub(r"\1", made.how.source)
        return source if len(source) <= LONGEST else ""
    return ""


_INTERNAL = re.compile(r"\b([A-Za-z]\w*)\.drop_(?:high|low) of \S+")
"""A clamp's drop by its internal name; in a sentence its reference is enough."""
LONGEST = 90
"""Characters of a source that may stand in the middle of a sentence."""


def part_of(judged: Judged) -> str:
    """The part of a place, or that none is known; nothing for what no part fills."""
    if judged.part is not None:
        return judged.part.part_number
    return "(unknown)" if judged.role.kind else ""


def place_name(judged: Judged) -> d.Line:
    """A reference with its part: ``D2 (ARFJ-S30A)``."""
    if judged.part is None:
        return d.line(d.Name(judged.ref))
    return d.line(d.Name(judged.ref), " (", d.Name(judged.part.part_number), ")")


def set_by(judged: Judged) -> tuple[d.Line, d.Line, d.Line]:
    """The requirement that decides about a place, what it needs, and what it has; what is missing is told elsewhere."""
    made = decisive(judged)
    if made is None:
        return (), (), ()
    if made.verdict is Verdict.UNPROVEN:
        return (d.Id(made.id),), (), ("not stated",)
    if made.requirement.discrete and not made.requirement.unit:
        return (d.Id(made.id),), (), needs(made)
    needed, has = both(made)
    return (d.Id(made.id),), (needed,), (has,)


def decisive(judged: Judged) -> Finding | None:
    """The requirement with the least headroom; where something is not proved or has no degrees, the first."""
    if judged.verdict is Verdict.UNPROVEN or judged.tightest is None:
        found = judged.with_verdict(judged.verdict) if judged.verdict < Verdict.TIGHT else []
        return found[0] if found else None
    return judged.tightest


def assumption(policy: Policy, note: str) -> str:
    """What a policy assumes, with its unit: ``threshold against temperature -6 mV/K (vgs_th_tempco)``."""
    name = note.partition(" = ")[0]
    declared = ASSUMED.get(name)
    if declared is None:
        return note
    if declared.meaning.startswith(YES):
        return f"{declared.meaning.removeprefix(YES)} ({name})"
    return f"{declared.meaning}: {show(policy.assumption(name), declared.unit, DIGITS)} ({name})"


__all__ = [
    "assumption",
    "both",
    "counted",
    "decisive",
    "headroom",
    "missing",
    "needs",
    "origin",
    "part_of",
    "place_name",
    "plain_needs",
    "safe",
    "set_by",
    "share",
    "sides",
    "sign",
    "source_of",
    "tally",
    "to_spare",
    "verdict_word",
]


def in_sentence(title: str) -> str:
    """A title inside a sentence; an abbreviation keeps its capitals."""
    return title if title[:2].isupper() else title[0].lower() + title[1:]
