"""An LED's brightness beside the fitted one's, as text."""

from collections.abc import Iterator

from partcheck.jobs.light.brightness import Brightened, Circuit
from partcheck.jobs.light.equal import REACHED
from partcheck.jobs.light.feed import Feed
from partcheck.jobs.light.operating import OperatingPoint
from partcheck.report import brightness_words as words
from partcheck.report.explained import assumed_note, board_name, notes
from partcheck.report.lines import columns, heading, labelled, listing, number, percent, verdict_word, wrap
from partcheck.requirement import Verdict
from partcheck.units import show

MOST_TROUBLES = 8
ROWS = (
    ("current, least", "current_min", "A"), ("  typical", "current_typ", "A"), ("  largest", "current_max", "A"),
    ("intensity, least", "intensity_min", "cd"), ("  typical", "intensity_typ", "cd"),
    ("  largest", "intensity_max", "cd"), ("flux, least", "flux_min", "lm"), ("  typical", "flux_typ", "lm"),
    ("  largest", "flux_max", "lm"), ("forward voltage", "vf_typ", "V"),
    ("heat of resistor", "resistor_power_max", "W"), ("  and of LED", "dissipation", "W"),
    ("hottest junction", "tj_hot", "°C"),
)  # fmt: skip
FEED_ROWS = {
    "load_total": "load", "dissipation": "its heat", "tj_hot": "its junction", "current_left": "current left",
    "current": "current",
}  # fmt: skip


def text(answer: Brightened) -> str:
    """The whole answer."""
    fitted = answer.fitted.part
    place = f" in place of {fitted.part_number}" if fitted is not None and fitted.key != answer.part.key else ""
    lines = heading(f"{answer.part.part_number}{place} at {answer.ref}")
    said = words.finding(answer)
    lines += wrap(said[0].upper() + said[1:] if answer.drawn.point.light != answer.drawn.point.light else said)
    lines += wrap(f"Verdict: {verdict_word(answer.verdict)}.")
    lines += wrap(
        f"Board {board_name(answer)}; policy {answer.setup.policy.name}; parts from {answer.setup.parts.where}."
    )
    lines += ["", *wrap(_title(answer)), *columns(_table(answer), right=_right(answer))]
    if not answer.is_fitted and answer.drawn not in answer.choices and words.troubles(answer.drawn):
        lines += trouble_lines("as drawn", answer.drawn)
    lines += light(answer)
    lines += resistors(answer)
    lines += saved(answer)
    lines += [line for feed in answer.feeds for line in feed_lines(answer, feed)]
    if answer.place.drive is not None and not any(feed.kind != "chip" for feed in answer.feeds):
        said = f"What feeds drive {answer.place.drive} is not stated: give its chip, and the chip its supply."
        lines += ["", *wrap(said)]
    lines += look_ups(answer)
    assumed = list(dict.fromkeys(assumed_note(answer.shown.candidate.judged)))
    lines += ["", "Assumed by the policy", *listing(assumed)] if assumed else []
    lines += notes(answer.setup.notes)
    lines += ["", "Cautions", *listing(answer.cautions)]
    return "\n".join(lines)


def _title(answer: Brightened) -> str:
    place = answer.place
    title = "At the real operating point"
    title += f", each of {place.in_series} in series" if place.in_series > 1 else ""
    return title + ("; currents while on, light averaged over the chopping" if place.chopped is not None else "")


def _columns(answer: Brightened) -> Iterator[tuple[str, str, str, OperatingPoint]]:
    """Heading, resistor, verdict and numbers of each circuit that is shown side by side."""
    if answer.before is not None:
        drawn = show(answer.drawn.resistance, "Ω")
        yield "fitted", drawn, verdict_word(answer.fitted.verdict), answer.before
    if not answer.is_fitted:
        yield "as drawn", *_circuit(answer.drawn)
    if answer.best is not None and answer.best is not answer.drawn:
        yield "best", *_circuit(answer.best)


def _circuit(made: Circuit) -> tuple[str, str, OperatingPoint]:
    return show(made.resistance, "Ω"), verdict_word(made.verdict), made.point


def _right(answer: Brightened) -> tuple[int, ...]:
    return tuple(range(1, 1 + len(list(_columns(answer)))))


def _table(answer: Brightened) -> Iterator[list[str]]:
    shown = list(_columns(answer))
    yield ["", *(title for title, *_ in shown)]
    yield ["resistor", *(ohms for _, ohms, _, _ in shown)]
    yield ["verdict", *(verdict for _, _, verdict, _ in shown)]
    for label, name, unit in ROWS:
        values = [point[name] for *_, point in shown]
        if name.startswith("flux") and all(point["flux_typ"] != point["flux_typ"] for *_, point in shown):
            continue
        yield [label, *(number(value, unit) for value in values)]
    if answer.place.drive is not None:
        yield [f"from drive {answer.place.drive}", *(number(point["current_max"], "A") for *_, point in shown)]


def light(answer: Brightened) -> list[str]:
    """The light against the fitted LED's."""
    fitted = answer.fitted.part
    if fitted is None or answer.before is None:
        return []
    lines = ["", f"Light against {fitted.part_number} as fitted"]
    circuits = [] if answer.is_fitted else [("as drawn", answer.drawn)]
    if answer.best is not None and answer.best is not answer.drawn:
        circuits.append((show(answer.best.resistance, "Ω"), answer.best))
    if not circuits:
        return []
    for label, made in circuits:
        ratio = answer.against(made)
        lines += labelled(label, words.range_of(ratio), 2, 12) if ratio is not None else []
        flux = answer.flux_ratio(made)
        if flux is not None:
            lines += labelled("", f"by flux: {words.range_of(flux)}", 2, 12)
    for label, said in (("angles", words.angles(answer)), ("colour", words.colours(fitted, answer.part))):
        lines += labelled(label, said, 2, 12) if said else []
    return lines


def resistors(answer: Brightened) -> list[str]:
    """The resistor solved, and the preferred values on both sides of it."""
    wanted = words.name_light(answer.wanted, answer.goal, answer.fitted.part)
    lines = ["", *wrap(f"Resistor for {wanted}")]
    if answer.solved.state != REACHED:
        return lines + wrap(_sentence(f"{words.resistor(answer)}."), "  ")
    series = answer.setup.board_file.board.series
    lines += labelled("solved", show(answer.solved.resistance, "Ω"), 2, 12)
    rows = [[f"{series}", "light", "of wanted", "current", "verdict", "set by"]]
    for made in answer.choices:
        rows.append(
            [
                show(made.resistance, "Ω"),
                number(made.point.light, "cd"),
                words.times(made.point.light / answer.goal),
                number(made.point["current_typ"], "A"),
                verdict_word(made.verdict) + (" *" if made is answer.best else ""),
                set_by(made),
            ]
        )
    lines += columns(rows, right=(0, 1, 2, 3))
    lines += wrap(why_best(answer), "  ") if answer.best is not None else []
    for made in answer.choices:
        lines += trouble_lines(show(made.resistance, "Ω"), made)
    if answer.instead is not None:
        made = answer.instead
        said = (
            f"{show(made.resistance, 'Ω')} is the preferred value nearest to the wanted light that "
            f"{'meets' if made.verdict is Verdict.MEETS else 'is tight'}: {number(made.point.light, 'cd')}, "
            f"{words.times(made.point.light / answer.goal)} the wanted"
        )
        lines += labelled("instead", said, 2, 12)
    changes = answer.best.candidate.changes if answer.best is not None else []
    return lines + (labelled("changes", "; ".join(changes), 2, 12) if changes else [])


def set_by(made: Circuit) -> str:
    """What a circuit fails, else its least headroom."""
    tightest = made.candidate.judged.tightest
    if made.verdict is Verdict.FAILS:
        return words.failing(made)
    return f"{percent(tightest.headroom)} {tightest.id}" if tightest is not None else "-"


def trouble_lines(name: str, made: Circuit, indent: int = 2, width: int = 18) -> list[str]:
    """What a circuit fails, lacks or worsens; the first few of it."""
    found = words.troubles(made)
    lines = [
        line
        for label, said in found[:MOST_TROUBLES]
        for line in labelled(f"{name} {label}".strip(), said, indent, width)
    ]
    if len(found) > MOST_TROUBLES:
        lines += labelled("", f"and {len(found) - MOST_TROUBLES} more on the board (see --json)", indent, width)
    return lines


def _sentence(said: str) -> str:
    return said[0].upper() + said[1:]


def why_best(answer: Brightened) -> str:
    """Why the best of the preferred values is."""
    assert answer.best is not None
    best, others = answer.best, [made for made in answer.choices if made is not answer.best]
    head = f"* best: {show(best.resistance, 'Ω')}"
    if not others:
        return f"{head} is itself a preferred value"
    if best.verdict > others[0].verdict:
        return f"{head}, for {show(others[0].resistance, 'Ω')} is {verdict_word(others[0].verdict).lower()}"
    return f"{head}, the nearer of two that are {verdict_word(best.verdict).lower()}".replace(
        "are meets", "meet"
    ).replace("are fails", "fail")


def saved(answer: Brightened) -> list[str]:
    """What the recommended circuit saves."""
    if answer.best is None or answer.before is None or answer.such is None:
        return []
    lines = ["", "Current it saves or costs"]
    one = [answer.before[f"current_{end}"] - answer.best.point[f"current_{end}"] for end in ("typ", "max")]
    lines += labelled(answer.ref, _two(one), 2, 12)
    such = answer.such
    if len(such.refs) > 1:
        both = [such.saved(f"current_{end}") for end in ("typ", "max")]
        values = ", ".join(f"{ref} {show(ohms, 'Ω')}" for ref, ohms in such.resistors.items())
        said = f"{_two(both)}, all together; resistors {values}"
        lines += labelled(f"all {len(such.refs)} such", f"{said}; verdict {verdict_word(such.verdict)}", 2, 12)
        for worse in such.worsened[:MOST_TROUBLES]:
            lines += labelled("worsens", str(worse), 14, 10)
    if such.left:
        lines += labelled("left", f"{', '.join(such.left)}: no resistor there gives the wanted light", 2, 12)
    return lines


def _two(currents: list[float]) -> str:
    typical, worst = (words.change(value, "A") if value == value else "not known" for value in currents)
    return f"{typical} at typical, {worst} at worst"


def feed_lines(answer: Brightened, feed: Feed) -> list[str]:
    """One regulator, rail or chip before and after."""
    changed = f"{answer.ref} changed" if answer.best is not None else f"{answer.ref} as drawn"
    titles = ["before", changed, "all changed"][: len(feed.states)]
    judged = feed.states[0].judged
    part = f" ({judged.part.part_number})" if judged is not None and judged.part is not None else ""
    head = f"{feed.kind.capitalize()} {feed.name}{part}" + (f", which makes {feed.output}" if feed.output else "")
    if feed.steady:
        now = ", ".join(
            f"{FEED_ROWS[name]} {number(feed.states[0].values[name], unit)}" for name, unit in feed.units.items()
        )
        return ["", *wrap(f"{head}, worst case: no change, {now}", "", "  ")]
    rows = [["", *titles]]
    for name, unit in feed.units.items():
        rows.append([FEED_ROWS[name], *(number(state.values[name], unit) for state in feed.states)])
    for id_ in feed.asked:
        rows.append([f"{id_}, headroom", *(f"{state.headroom(id_) * 100:.1f} %" for state in feed.states)])
    lines = ["", *wrap(f"{head}, worst case", "", "  ")]
    return lines + columns(rows, right=tuple(range(1, len(titles) + 1)))


def look_ups(answer: Brightened) -> list[str]:
    """The same under a heading."""
    said = left_and_missing(answer)
    return ["", "Curves left, and values to look up", *listing(said)] if said else []


def left_and_missing(answer: Brightened) -> list[str]:
    """Numbers that are missing, and every stated curve that a current left."""
    said: dict[str, None] = {}
    for part, point in _points(answer):
        for name in point.values:
            if point.missing[name] and point[name] != point[name] and not name.startswith("flux"):
                lack = "; ".join(point.look_up(name))
                said.setdefault(f"{part}: {lack}" if lack.startswith(name) else f"{part}: {name} is missing: {lack}")
        for said_of in curve_lines(point):
            said.setdefault(f"{part}: {said_of}")
    return list(said)


def curve_lines(point: OperatingPoint) -> Iterator[str]:
    """Every stated curve that a current left; light read along the relative curve in one line."""
    along = [left for left in point.curves if left.effect == "along"]
    for name in ("iv", "flux"):
        currents = [left.current for left in along if left.curve.startswith(name)]
        if currents:
            at = ", ".join(dict.fromkeys(show(left.point, "A") for left in along if left.curve.startswith(name)))
            what = "intensity" if name == "iv" else "flux"
            ends = dict.fromkeys(show(current, "A") for current in (min(currents), max(currents)))
            yield f"{what} at {' to '.join(ends)} is read from {name} stated at {at}, along relative_intensity"
    for left in point.curves:
        if left.effect == "held" or (left.effect == "missing" and left.quantity.startswith("flux")):
            yield str(left)


def _points(answer: Brightened) -> Iterator[tuple[str, OperatingPoint]]:
    if answer.before is not None and answer.fitted.part is not None:
        yield f"{answer.fitted.part.part_number} as fitted", answer.before
    name = answer.part.part_number
    if not answer.is_fitted:
        yield f"{name} as drawn", answer.drawn.point
    if answer.best is not None and answer.best is not answer.drawn:
        yield f"{name} at {show(answer.best.resistance, 'Ω')}", answer.best.point
