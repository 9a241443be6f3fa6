"""Sentences about brightness, the same in the text and in the record."""

import math

from partcheck.jobs.light.brightness import Brightened
from partcheck.jobs.light.circuits import Circuit
from partcheck.jobs.light.equal import ABOVE, BELOW, UNKNOWN, WEAK, Solved
from partcheck.jobs.light.operating import ComparedLight, OperatingPoint
from partcheck.jobs.light.ranking import BrightnessRanking, Ranked
from partcheck.jobs.light.wanted import WantedLight
from partcheck.parts import Part
from partcheck.report.answers.phrases import DIGITS
from partcheck.report.answers.phrases import plain_needs as short
from partcheck.requirement import Verdict
from partcheck.units import show

AXIS = "luminous intensity holds on the axis only"


def times(ratio: float) -> str:
    """A ratio of light: ``4.81 times``."""
    return f"{ratio:.3g} times"


def name_light(wanted: WantedLight, goal: float, fitted: Part | None) -> str:
    """The wanted light: ``5 mcd``, ``the light of X, 29 mcd``."""
    if wanted.target is not None or fitted is None:
        return show(goal, "cd", DIGITS)
    known = f", {show(goal, 'cd', DIGITS)}" if goal == goal else ""
    share = "" if wanted.equal else f"{wanted.ratio:.3g} of "
    return f"{share}the light of {fitted.part_number}{known}"


def finding(answer: Brightened) -> str:
    """The whole answer in one sentence."""
    return f"{_as_drawn(answer)}; {resistor(answer)}."


def _as_drawn(answer: Brightened) -> str:
    part, fitted, point = answer.part, answer.fitted.part, answer.drawn.point
    at = f"{part.part_number} at {show(answer.drawn.resistance, 'Ω')}"
    if point.light != point.light:
        return f"how much light {at} gives is not known ({'; '.join(point.look_up('intensity_typ'))})"
    if fitted is None or fitted.key == part.key:
        return f"{at} gives {show(point.light, 'cd', DIGITS)} at typical"
    ratio = answer.ratio
    if ratio is None or ratio.typical != ratio.typical:
        return f"{at} gives {show(point.light, 'cd', DIGITS)}, and the light of {fitted.part_number} is not known"
    return f"{at} gives {times(ratio.typical)} the light of {fitted.part_number}, {ratio.as_seen}"


def resistor(answer: Brightened) -> str:
    """The recommended resistor and how near it comes, or why there is none; without a full stop."""
    best = answer.best
    if best is None:
        return out_of_reach(answer.part, answer.solved, answer.goal, answer.before)
    ohms = show(best.resistance, "Ω") + (" as drawn" if best.change is None else "")
    what = f"{ohms} {nearness(best, answer.goal, answer.wanted)}"
    if best.verdict is Verdict.FAILS:
        return f"{what}, but fails {failing(best)}"
    return f"{what}, but is unproven" if best.verdict is Verdict.UNPROVEN else what


def nearness(made: Circuit, goal: float, wanted: WantedLight) -> str:
    """How near a circuit comes to the wanted light."""
    off = made.point.light / goal - 1
    if wanted.target is None and wanted.equal:
        return "makes them equal" if abs(off) < 0.005 else f"makes them equal within {math.ceil(abs(off) * 100)} %"
    gives = f"gives {show(made.point.light, 'cd', DIGITS)}"
    if wanted.target is not None:
        return f"{gives}; wanted is {show(goal, 'cd', DIGITS)}"
    return f"{gives}; wanted is {show(goal, 'cd', DIGITS)} ({wanted.ratio:.3g} times the fitted light)"


def change(value: float, unit: str) -> str:
    """What a current falls or rises by: ``3 mA less``, ``2 mA more``."""
    if value == 0:
        return "no change"
    return f"{show(abs(value), unit, DIGITS)} {'more' if value < 0 else 'less'}"


def failing(made: Circuit) -> str:
    """What a circuit fails, its own requirements and those of its neighbours."""
    own = [f.id for f in made.candidate.judged.with_verdict(Verdict.FAILS)]
    return ", ".join(own + [f"{w.ref} {w.finding.id}" for w in made.candidate.worsened if w.after is Verdict.FAILS])


def out_of_reach(part: Part, solved: Solved, goal: float, before: OperatingPoint | None) -> str:
    """Why no resistor gives the wanted light, and what to do, without a full stop."""
    name = part.part_number
    if solved.state == UNKNOWN:
        if goal != goal and before is not None:
            lack = "; ".join(before.look_up("intensity_typ"))
            return f"the light of the fitted LED is not known ({lack}), so give --target or look that up"
        return f"no resistor for {show(goal, 'cd', DIGITS)} can be worked out: look up {_no_curve(part)}"
    light, current, ohms = (
        show(solved.light, "cd", DIGITS),
        show(solved.current, "A", DIGITS),
        show(solved.resistance, "Ω"),
    )
    if solved.state == WEAK:
        return f"{name} cannot give {show(goal, 'cd', DIGITS)} here: even {ohms} gives no more than {light}"
    if solved.state == ABOVE:
        return (
            f"{name} is not stated to give {show(goal, 'cd', DIGITS)}: its curves end at {current}, where {ohms} gives "
            f"{light}, so ask for less or take a brighter LED"
        )
    assert solved.state == BELOW
    return (
        f"{name} is not stated to give as little as {show(goal, 'cd', DIGITS)}: its curves begin at {current}, "
        f"where {ohms} still gives {light}, so look up relative_intensity below that or take a dimmer LED"
    )


def no_resistor(made: Ranked, answer: BrightnessRanking) -> str:
    """Why no resistor gives an LED of a ranking the wanted light."""
    entry = made.entry
    return out_of_reach(entry.part, entry.solved, answer.goal, answer.before)


def _no_curve(part: Part) -> str:
    """What the light of a part lacks wherever its current may be."""
    wanted = {"vf typ": ("vf", "typ"), "iv typ": ("iv", "typ"), "relative_intensity": ("relative_intensity", "typ")}
    lack = [name for name, (table, bound) in wanted.items() if not part.table(table).curve("i_f", bound)[0]]
    return ", ".join(lack) or "iv and relative_intensity at more currents"


def range_of(ratio: ComparedLight) -> str:
    """A ratio at typical, the range over single pieces, and how it looks."""
    if ratio.typical != ratio.typical:
        return "not known"
    spread = "; single pieces: not known"
    if ratio.least == ratio.least and ratio.largest == ratio.largest:
        spread = f"; single pieces anywhere from {times(ratio.least)} to {times(ratio.largest)}"
    return f"{times(ratio.typical)} at typical{spread}; {ratio.seen} to the eye"


def angles(answer: Brightened) -> str:
    """What the viewing angles do to the comparison; empty where they are the same."""
    if not answer.angles_differ or answer.fitted.part is None:
        return ""
    (old, new), fitted = answer.angles, answer.fitted.part
    if old != old or new != new:
        lack = [p.part_number for p, v in ((fitted, old), (answer.part, new)) if v != v]
        return f"the viewing angle of {' and '.join(lack)} is not stated, and {AXIS}{_no_flux(answer)}"
    return f"the viewing angles differ, {show(old, '°')} fitted and {show(new, '°')} here, and {AXIS}{_no_flux(answer)}"


def _no_flux(answer: Brightened) -> str:
    if answer.flux_ratio(answer.drawn) is not None:
        return ": compared by flux as well"
    assert answer.before is not None and answer.fitted.part is not None
    both = ((answer.fitted.part, answer.before), (answer.part, answer.drawn.point))
    lack = list(dict.fromkeys(p.part_number for p, v in both if math.isnan(v["flux_typ"])))
    return f"; flux is not stated for {' and '.join(lack)}, so it is not compared"


def colours(old: Part | None, new: Part) -> str:
    """A word of caution where the colours differ; else empty."""
    a, b = (part.word("colour") if part is not None else "" for part in (old, new))
    if not a or not b or a == b:
        return ""
    return f"{b} instead of {a}: equal luminous intensity of two colours need not look equally bright"


def troubles(made: Circuit) -> list[tuple[str, str]]:
    """What a circuit fails or lacks, and what it worsens: (label, text)."""
    judged = made.candidate.judged
    bad = judged.with_verdict(Verdict.FAILS) + judged.with_verdict(Verdict.UNPROVEN)
    rows = [("fails" if f.verdict is Verdict.FAILS else "unproven", f"{f.id} {short(f)}") for f in bad]
    return rows + [("worsens", f"{w}: {short(w.finding)}") for w in made.candidate.worsened]
