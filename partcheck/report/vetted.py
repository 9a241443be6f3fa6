"""The answer to a vet, as text."""

import math
import re
from collections.abc import Iterator

from partcheck.jobs.vet.clamps import WAYS, Clamping, Nearest, Replacement
from partcheck.jobs.vet.path import Link
from partcheck.jobs.vet.vet import At, GivenWay, Step, Vetted
from partcheck.report.explained import assumed_note, board_name, notes, short
from partcheck.report.lines import columns, heading, labelled, listing, number, percent, verdict_word, wrap
from partcheck.report.remedied import remedy_lines
from partcheck.requirement import Fact, Verdict
from partcheck.units import show, show_span

LESS = 6
"""So many of the requirements that lose headroom are named."""


def text(vetted: Vetted) -> str:
    """The whole answer."""
    board = vetted.setup.board_file.board
    sort = board.load[vetted.load].sort
    lines = heading(f"{vetted.load}, {sort} on the rail {vetted.situation.board.load[vetted.load].rail}")
    lines += wrap(
        f"Board {board_name(vetted)}; policy {vetted.setup.policy.name}; parts from {vetted.setup.parts.where}."
    )
    lines += ["", *asked(vetted), "", *verdict(vetted), ""]
    lines += path(vetted)
    lines += ["", *key_figures(vetted)]
    lines += failures(vetted)
    lines += elsewhere(vetted)
    if vetted.clamping is not None:
        lines += ["", *other_clamps(vetted.clamping)]
    assumed = sorted({note for judged in vetted.places for note in assumed_note(judged)})
    if assumed:
        lines += ["", "Assumed by the policy", *listing(assumed)]
    lines += notes(vetted.as_changed.notes)
    lines += ["", "Cautions", *listing(_cautions(vetted))]
    return "\n".join(lines)


def _cautions(vetted: Vetted) -> Iterator[str]:
    for caution in vetted.cautions:
        yield f"NEW: {caution}" if vetted.changes and caution in vetted.new_cautions else caution


def asked(vetted: Vetted) -> list[str]:
    """What was asked for, each change before and after."""
    if not vetted.changes:
        return ["Nothing is changed: the path as it is."]
    return ["Changed", *listing(map(str, vetted.changes)), *listing(f"Note: {note}" for note in vetted.asked_notes)]


def verdict(vetted: Vetted) -> list[str]:
    """The verdict of the whole board, and what gives way first."""
    if not vetted.changes:
        return [f"Verdict of the whole board: {verdict_word(vetted.verdict)}"]
    lines = [f"Verdict of the whole board: {verdict_word(vetted.verdict)} as changed, "
             f"{verdict_word(vetted.verdict_before)} before"]  # fmt: skip
    if vetted.gives_way:
        lines += ["", *gives_way(vetted)]
    elif vetted.verdict >= Verdict.TIGHT:
        lines += ["Nothing gives way."]
    if vetted.unproven:
        lines += ["", "No longer proved", *columns(_grouped_by_place(vetted))]
    return lines


def gives_way(vetted: Vetted) -> list[str]:
    """What fails, in the order in which it gives way; places that give way alike and together stand on one line."""
    first = vetted.gives_way[0]
    lines = wrap(f"First to give way: {first.ref}, {first.after.id}, {reached(first)}.")
    groups: dict[tuple[str, str], list[str]] = {}
    for given in vetted.gives_way:
        groups.setdefault((_at_share(given), given.after.id), []).append(given.ref)
    rows = [["", "gives way", "requirement", "place"]]
    rows += [[str(i), at, id_, _and(refs)] for i, ((at, id_), refs) in enumerate(groups.items(), 1)]
    return lines + columns(rows, right=(0,))


def _and(refs: list[str]) -> str:
    """References in a row; of several tracks the word stands once."""
    names = [ref.removeprefix("track ") if i and ref.startswith("track ") else ref for i, ref in enumerate(refs)]
    return ", ".join(names)


def _grouped_by_place(vetted: Vetted) -> list[list[str]]:
    places: dict[str, list[str]] = {}
    for ref, _, finding in vetted.unproven:
        places.setdefault(ref, []).append(finding.id)
    return [[ref, ", ".join(ids)] for ref, ids in places.items()]


def _at_share(given: GivenWay) -> str:
    if given.share is None:
        return "at once"
    value = f"{_value(given.at[0].value.typ, given.at[0].unit)}, " if given.at else ""
    return f"{value}{given.share * 100:.0f} %"


def _value(value: float, unit: str) -> str:
    return show(value, unit) if unit or not value.is_integer() else f"{value:.0f}"


def _span(at: At) -> str:
    return _value(at.value.typ, at.unit) if at.value.exact else show_span(at.value, at.unit)


def reached(given: GivenWay) -> str:
    """How far the change goes until something gives way: ``at 14.2 V (rail.V12.voltage), 61 % of the way``."""
    if given.share is None:
        return "at once, as what changes has no steps in between"
    if given.share == 0:
        return "with what has no steps in between alone"
    values = " and ".join(f"{_span(at)} ({at.key})" for at in given.at[:3])
    return f"at {values}, {given.share * 100:.0f} % of the way"


# ---- the path


def path(vetted: Vetted) -> list[str]:
    """The current path in order; before and after where something is changed."""
    lines = ["The path of its current, worst case"]
    if vetted.changes:
        rows = [["link", "carries", "before", "as changed", "set by"]]
    else:
        rows = [["link", "carries", "verdict", "set by"]]
    for step in vetted.steps:
        rows.append(_changed_row(step) if vetted.changes else _plain_row(step))
    lines += columns(rows)
    if vetted.not_stated:
        lines += wrap(f"Not stated by the board, so not judged: {', '.join(vetted.not_stated)}.", "  ")
    return lines


LINK = 19
"""Widest name of a link in the table of the path; a longer one is cut, and stands in full in the JSON answer."""


def _name(step: Step) -> str:
    name = f"{step.stage} {step.ref}" if step.stage in ("load", "clamp", "switch") else step.ref
    name = re.sub(r" poles? ([\d, ]+) \((\w+) .*\)$", r"-\1 \2", name)  # J1-3, 4 return
    return name if len(name) <= LINK else f"{name[: LINK - 1]}…"


def _judgement(link: Link | None) -> str:
    if link is None or link.judged is None:
        return ""
    return f"{verdict_word(link.judged.verdict)} {percent(link.judged.headroom)}"


def _setter(link: Link | None) -> str:
    if link is None or link.judged is None or link.judged.tightest is None:
        return ""
    return link.judged.tightest.id


def _amperes(link: Link | None, digits: int = 3) -> str:
    return "-" if link is None or link.carries.value is None else show(link.carries.value, "A", digits)


def _plain_row(step: Step) -> list[str]:
    return [_name(step), _amperes(step.after), _judgement(step.after), _setter(step.after)]


def _changed_row(step: Step) -> list[str]:
    setter = _setter(step.after) if step.after is not None else "off the path"
    return [_name(step), _carries(step), _judgement(step.before), _judgement(step.after), setter]


def _carries(step: Step) -> str:
    """The current as changed, and how many times the one before it is."""
    if step.before is None or step.after is None:
        return _amperes(step.after)
    was, now = step.before.carries.value, step.after.carries.value
    grown = now / was if now is not None and was else math.nan
    return _amperes(step.after) + (f" ×{grown:.2g}" if abs(grown - 1) >= 0.005 else "")


def key_figures(vetted: Vetted) -> list[str]:
    """The key figures, before and as changed."""
    if not vetted.changes:
        rows = [["figure", "value", ""]]
        rows += [[f.name, number(_number(f.after), f.unit), f.meaning] for f in vetted.figures]
        return ["Key figures", *columns(rows, right=(1,))]
    rows = [["figure", "before", "as changed", ""]]
    for f in vetted.figures:
        rows.append([f.name, _figure(f.before, f.unit), _figure(f.after, f.unit), f.meaning])
    return ["Key figures", *columns(rows, right=(1, 2))]


def _number(fact: Fact | None) -> float:
    return math.nan if fact is None or fact.value is None else float(fact.value)


def _figure(fact: Fact | None, unit: str) -> str:
    return "-" if fact is None or fact.value is None else number(_number(fact), unit)


# ---- what does not meet


def failures(vetted: Vetted) -> list[str]:
    """Every failing requirement with what cures it, on the path first; then what is unproven."""
    lines: list[str] = []
    new = {(given.ref, given.after.id) for given in vetted.gives_way}
    bad = [j for j in vetted.after if j.with_verdict(Verdict.FAILS) or j.with_verdict(Verdict.UNPROVEN)]
    for on_path in (True, False):
        chosen = [judged for judged in bad if (judged.ref in vetted.on_path) is on_path]
        if chosen:
            lines += ["", f"What does not meet {'on the path' if on_path else 'elsewhere on the board'}"]
        for judged in chosen:
            lines += wrap(f"{judged.ref}{f', {judged.part.part_number}' if judged.part is not None else ''}", "  ")
            for finding in judged.with_verdict(Verdict.FAILS):
                before = "" if not vetted.changes or (judged.ref, finding.id) in new else " (before, too)"
                lines += labelled(finding.id, f"FAILS{before}: {short(finding)}", 4, 20)
                lines += remedy_lines(finding, judged.ref, vetted.remedies, 8, 9)
            for finding in judged.with_verdict(Verdict.UNPROVEN):
                lines += labelled(finding.id, "unproven", 4, 20)
                lines += remedy_lines(finding, judged.ref, vetted.remedies, 8, 9)
    return lines


def elsewhere(vetted: Vetted) -> list[str]:
    """What goes on meeting with less headroom, on the path or not."""
    if not vetted.changes:
        return []
    less = [item for item in vetted.less if item[2].headroom < 0.5 and item[2].headroom < item[1].headroom - 0.005]
    if not less:
        return []
    rows = [[ref, new.id, f"{percent(new.headroom)} instead of {percent(old.headroom)}"] for ref, old, new in less]
    lines = ["", "Still meets, with less headroom", *columns(rows[:LESS])]
    return [*lines, f"  and {len(less) - LESS} more"] if len(less) > LESS else lines


# ---- other clamps


def other_clamps(clamping: Clamping) -> list[str]:
    """Clamps that would cure what the turn-off breaks, best first; else the nearest and why."""
    asked_for = ", ".join(f"{ref} {finding.id}" for ref, finding in clamping.asked_for)
    lines = wrap(f"Other clamps for {clamping.load}, for {asked_for} ({clamping.compared} diodes compared)")
    for how in clamping.ways:
        lines += wrap(f"{WAYS[how]}:", "  ")
        found = [made for made in clamping.found if made.how == how]
        for made in found:
            lines += replacement(made)
        nearest = [made for made in clamping.nearest if made.how == how]
        for near in nearest:
            lines += _nearest(near)
        if not found and not nearest:
            lines += wrap("no known part stands off the rail", "    ")
    return lines


def replacement(made: Replacement) -> list[str]:
    """One clamp that cures, with its numbers."""
    numbers = (
        f"{made.verdict.word}, headroom {percent(made.headroom)}; {'lets go' if made.lets_go else 'current gone'} in "
        f"{show(made.time, 's')}, "
        f"peak {show(made.peak, 'V')}, {show(made.energy, 'J')} each time"
    )
    names = " and ".join(f"{ref} {part.name}" for ref, part in made.fitted)
    money = ", ".join(f"{p.number('price'):.2f} {p.word('currency')}".strip() for p in made.parts
                      if p.number("price") == p.number("price")) or "price not stated"  # fmt: skip
    footprint = f"; another {' and '.join(dict.fromkeys(made.footprint))}" if made.footprint else ""
    return [*wrap(names, "    "), *wrap(f"{numbers}; {money}{footprint}", "      ")]


def _nearest(near: Nearest) -> list[str]:
    against = "; ".join(f"{ref} {finding.id} {verdict_word(finding.verdict)}, {short(finding)}"
                        for ref, finding in near.against[:3])  # fmt: skip
    return wrap(f"none cures; nearest is {near.part.name}: {against}", "    ", "      ")
