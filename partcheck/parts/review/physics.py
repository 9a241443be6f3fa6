"""What heat, charge and light allow, and what one rating says about another, per kind."""

from collections.abc import Iterator

from partcheck.parts.part import Part
from partcheck.parts.review.doubts import Found, rule
from partcheck.units import show

_T25 = 298.15
_PHOTON = 1.2398419843e-6
"""Planck's constant times the speed of light over the elementary charge, V·m: exact by the SI definitions of 2019."""
_COLOURS = {
    "red": (600e-9, 780e-9),
    "orange": (585e-9, 620e-9),
    "amber": (575e-9, 610e-9),
    "yellow": (565e-9, 600e-9),
    "green": (495e-9, 580e-9),
    "cyan": (480e-9, 515e-9),
    "blue": (435e-9, 500e-9),
    "violet": (380e-9, 450e-9),
    "infrared": (700e-9, 1e-6),
}
"""Dominant wavelengths that go by these names in LED datasheets (common practice, no published source)."""


def _steady(part: Part) -> list[float]:
    """The thermal resistances that hold for ever: to the case, and to ambient on boards without planes."""
    return [
        value for value in (part.number("theta_jc"), *part.table("theta_ja").columns.get("max", ())) if value == value
    ]


@rule("mosfet", "bjt", "diode", "led", "regulator")
def case_below_ambient(part: Part) -> Iterator[Found]:
    """The way to the case is part of the way to ambient."""
    jc, rows = part.number("theta_jc"), part.table("theta_ja").columns.get("max", ())
    if rows and jc > min(rows):
        least = show(min(rows), "K/W")
        yield ("theta_jc", "theta_ja"), f"theta_jc {show(jc, 'K/W')} is above theta_ja {least}, of which it is a part"


@rule("mosfet", "bjt", "diode")
def pulse_below_steady(part: Part) -> Iterator[Found]:
    """A pulse heats less than the same power for ever."""
    table, limits = part.table("zth"), {0.0: part.number("theta_jc"), 1.0: max(_steady(part), default=float("nan"))}
    for row in table.rows():
        limit = limits[row.reference]
        if row.max > limit * 1.02:
            name = "theta_jc" if row.reference == 0.0 else "theta_ja"
            told = f"zth {show(row.max, 'K/W')} at {show(row.pulse_width, 's')} is above {name} {show(limit, 'K/W')}"
            yield ("zth", name), f"{told}, which it reaches only after a long time"


@rule("diode")
def power_from_heat(part: Part) -> Iterator[Found]:
    """power_max is (tj_max - 25 °C)/theta for one of the thermal resistances stated."""
    power, rise, ways = part.number("power_max"), part.number("tj_max") - _T25, _steady(part)
    if not (power == power and rise == rise and ways):
        return
    fitting = [rise / theta for theta in ways]
    if not 0.7 * min(fitting) <= power <= 1.3 * max(fitting):
        told = " or ".join(dict.fromkeys(show(p, "W", 2) for p in (min(fitting), max(fitting))))
        yield (
            ("power_max", "tj_max", "theta_ja", "theta_jc"),
            f"power_max {show(power, 'W')} is not (tj_max - 25 °C)/theta, which gives {told}",
        )


@rule("mosfet")
def threshold_below_the_on_rows(part: Part) -> Iterator[Found]:
    """A channel is not stated as on at a gate voltage that may still be its threshold."""
    threshold, gates = part.number("vgs_th_max"), part.table("rds_on").columns.get("vgs", ())
    low = [gate for gate in gates if gate <= threshold]
    if low:
        told = f"rds_on is stated at vgs {show(min(low), 'V')}"
        yield ("vgs_th_max", "rds_on"), f"{told}, not above the largest threshold vgs_th_max {show(threshold, 'V')}"


@rule("mosfet")
def gate_within_its_rating(part: Part) -> Iterator[Found]:
    """On-resistance is stated within the gate rating."""
    limit, gates = part.number("vgs_max"), part.table("rds_on").columns.get("vgs", ())
    if gates and max(gates) > limit:
        told = f"rds_on is stated at vgs {show(max(gates), 'V')}"
        yield ("vgs_max", "rds_on"), f"{told}, above the gate rating vgs_max {show(limit, 'V')}"


@rule("mosfet")
def charges_add_up(part: Part) -> Iterator[Found]:
    """Gate-source and gate-drain charge together are not more than the total."""
    for bound in ("typ", "max"):
        parts = part.number(f"qgs_{bound}") + part.number(f"qgd_{bound}")
        whole = part.number(f"qg_{bound}")
        if parts > whole * 1.001 and max(part.number(f"qgs_{bound}"), part.number(f"qgd_{bound}")) <= whole * 1.001:
            columns = (f"qg_{bound}", f"qgs_{bound}", f"qgd_{bound}")
            told = f"qgs and qgd ({bound}) make {show(parts, 'C')}"
            yield columns, f"{told}, more than the total gate charge {show(whole, 'C')}"


@rule("mosfet")
def pulsed_above_continuous(part: Part) -> Iterator[Found]:
    """A pulsed current rating is not below the continuous one at its best."""
    steady, pulsed = (part.table(name).columns.get("max", ()) for name in ("id_max", "idm"))
    if steady and pulsed and max(pulsed) < max(steady):
        told = f"idm {show(max(pulsed), 'A')} is below id_max {show(max(steady), 'A')}"
        yield ("idm", "id_max"), f"{told}, but a pulsed rating is not below the continuous one"


@rule("mosfet")
def safe_area_within_the_ratings(part: Part) -> Iterator[Found]:
    """No safe operating area beyond the drain-source rating."""
    limit, volts = part.number("vds_max"), part.table("soa").columns.get("vds", ())
    if volts and max(volts) > limit * 1.001:
        told = f"soa is stated at vds {show(max(volts), 'V')}"
        yield ("soa", "vds_max"), f"{told}, above the rating vds_max {show(limit, 'V')}"


@rule("mosfet")
def current_from_heat(part: Part) -> Iterator[Found]:
    """At its case or ambient temperature the rated current does not heat the channel far beyond tj_max.

    Read leniently (the least stated on-resistance, the least thermal resistance, twice the rise): a rating by heat
    alone is often optimistic.
    """
    limit = part.number("tj_max")
    rows = [r for r in part.table("rds_on").columns.get("max", ()) if r == r]
    ambient = [theta for theta in part.table("theta_ja").columns.get("max", ()) if theta == theta]
    ways = {0.0: ("case", "theta_jc", part.number("theta_jc"))}
    ways[1.0] = ("ambient", "theta_ja", min(ambient, default=float("nan")))
    for row in part.table("id_max").rows():
        if not rows or row.reference not in ways:
            continue
        where, name, theta = ways[row.reference]
        rise = row.max**2 * min(rows) * theta
        if rise > 2 * max(limit - row.temperature, 0.0) and row.max > 0:
            told = f"id_max {show(row.max, 'A')} at {where} {show(row.temperature, '°C')} heats the channel"
            yield (
                ("id_max", "rds_on", name),
                f"{told} by {show(rise, 'K', 2)} even at its least rds_on and {name}, beyond tj_max",
            )


@rule("bjt")
def gain_has_one_peak(part: Part) -> Iterator[Found]:
    """Gain against current rises to one peak and then falls."""
    groups: dict[float, list[tuple[float, float]]] = {}
    for bound in ("typ", "min"):
        groups.clear()
        for row in part.table("hfe").rows():
            if getattr(row, bound) == getattr(row, bound):
                groups.setdefault(row.vce, []).append((row.ic, getattr(row, bound)))
        for vce, points in groups.items():
            values = [value for _, value in sorted(points)]
            peak = values.index(max(values))
            up, down = values[: peak + 1], values[peak:]
            if up != sorted(up) or down != sorted(down, reverse=True):
                at = f"{bound} at vce {show(vce, 'V')}"
                yield ("hfe",), f"hfe {at} falls and rises again with the current; gain has one peak"


@rule("bjt")
def saturation_is_driven(part: Part) -> Iterator[Found]:
    """A saturated row drives the base with at least what the largest gain asks for, and less than the collector."""
    most = max((g for g in part.table("hfe").columns.get("max", ()) if g == g), default=float("inf"))
    for name in ("vce_sat", "vbe_sat"):
        for row in part.table(name).rows():
            forced = row.ic / row.ib
            if forced < 1 or forced > most:
                told = f"{name} is stated at ic {show(row.ic, 'A')} with ib {show(row.ib, 'A')}"
                yield (name,), f"{told}, a forced gain of {forced:.3g}, which is not saturation"


@rule("bjt")
def saturation_voltages(part: Part) -> Iterator[Found]:
    """In one row of drive the collector is below the base."""
    bases = {(row.ic, row.ib): row for row in part.table("vbe_sat").rows()}
    for row in part.table("vce_sat").rows():
        base = bases.get((row.ic, row.ib))
        if base is not None and row.max > base.max and row.max > 2.0:
            told = f"vce_sat {show(row.max, 'V')} at ic {show(row.ic, 'A')} is above vbe_sat {show(base.max, 'V')}"
            yield ("vce_sat", "vbe_sat"), f"{told}; a saturated collector lies below its base"


@rule("led")
def photons_need_their_voltage(part: Part) -> Iterator[Found]:
    """At its highest stated current an LED drops about what its photons carry, or more: λ·V ≥ 0.8·h·c/e."""
    points = part.table("vf").curve("i_f", "typ")[1] or part.table("vf").curve("i_f", "max")[1]
    wave = part.number("dominant_wavelength_typ")
    if points and points[-1] < 0.8 * _PHOTON / wave:
        told = f"vf {show(points[-1], 'V')} is too small for light of {show(wave, 'm')}"
        yield ("vf", "dominant_wavelength_typ"), f"{told}, whose photons carry {show(_PHOTON / wave, 'V', 3)}"


@rule("led")
def colour_and_wavelength(part: Part) -> Iterator[Found]:
    """The name of a colour and the dominant wavelength agree."""
    low, high = _COLOURS.get(part.word("colour"), (0.0, 1.0))
    for bound in ("min", "typ", "max"):
        wave = part.number(f"dominant_wavelength_{bound}")
        if wave == wave and not low <= wave <= high:
            told = f"a dominant wavelength of {show(wave, 'm')} is not called {part.word('colour')}"
            yield (f"dominant_wavelength_{bound}", "colour"), f"{told} ({show(low, 'm')}..{show(high, 'm')})"
            return


@rule("led")
def peak_above_continuous(part: Part) -> Iterator[Found]:
    """A peak current rating is not below the continuous one."""
    steady = part.table("if_max").columns.get("max", ())
    if steady and part.number("if_peak") < max(steady):
        told = f"if_peak {show(part.number('if_peak'), 'A')} is below if_max {show(max(steady), 'A')}"
        yield ("if_peak", "if_max"), f"{told}, but a peak rating is not below the continuous one"


@rule("led")
def relative_to_the_test_current(part: Part) -> Iterator[Found]:
    """Light relative to the test current is 1 at a current at which the light is stated."""
    curve = dict(zip(*part.table("relative_intensity").curve("i_f", "typ"), strict=True))
    tests = {i for name in ("iv", "flux") for i in part.table(name).columns.get("i_f", ())}
    there = {i: curve[i] for i in tests if i in curve}
    if len(tests) == 1 and there and abs(next(iter(there.values())) - 1) > 0.05:
        ((at, value),) = there.items()
        told = f"relative_intensity is {show(value, '')} at {show(at, 'A')}, the current at which the light is stated"
        yield ("relative_intensity", "iv", "flux"), f"{told}; it is 1 there by its meaning"


@rule("diode")
def clamps_above_breakdown(part: Part) -> Iterator[Found]:
    """A clamp clamps above its least breakdown voltage."""
    least, volts = part.number("vbr_min"), part.table("clamping").columns.get("max", ())
    if volts and min(volts) < least:
        told = f"clamping {show(min(volts), 'V')} is below the least breakdown voltage vbr_min {show(least, 'V')}"
        yield ("clamping", "vbr_min"), told


@rule("diode")
def surge_above_average(part: Part) -> Iterator[Found]:
    """Peak and surge current ratings are not below the average one."""
    average = part.table("if_av").columns.get("max", ())
    surge = part.table("ifsm").columns.get("max", ())
    for name, value in (("ifrm", part.number("ifrm")), ("ifsm", max(surge, default=float("nan")))):
        if average and value < max(average):
            told = f"{name} {show(value, 'A')} is below if_av {show(max(average), 'A')}"
            yield (name, "if_av"), f"{told}, but a peak rating is not below the average one"


@rule("diode")
def pulse_power_from_the_clamp(part: Part) -> Iterator[Found]:
    """The power of a pulse is its current times its clamping voltage, for one of the lengths stated (within 1.5)."""
    power, rows = part.table("pulse_power").columns.get("max", ()), list(part.table("clamping").rows())
    if not power or not rows:
        return
    made = max(row.ipp * row.max for row in rows)
    if made > 1.5 * max(power):
        told = f"clamping states a pulse of {show(made, 'W', 3)}"
        yield ("clamping", "pulse_power"), f"{told}, more than pulse_power {show(max(power), 'W')} for any length"


@rule("regulator")
def dropout_within_the_rating(part: Part) -> Iterator[Found]:
    """Dropout is stated up to the rated current."""
    currents, limit = part.table("dropout").columns.get("iout", ()), part.number("iout_max")
    if currents and max(currents) > 1.2 * limit:
        told = f"dropout is stated at {show(max(currents), 'A')}"
        yield ("dropout", "iout_max"), f"{told}, far above the rated current iout_max {show(limit, 'A')}"


@rule("terminal")
def curve_within_the_rating(part: Part) -> Iterator[Found]:
    """A curve ends at the temperature limit of the terminal, and a derated one lies under the base curve."""
    rows = list(part.table("current").rows())
    limit = part.number("t_max")
    hot = [row.temperature for row in rows if row.temperature > limit and row.max > 0]
    if hot:
        told = f"current is stated at {show(max(hot), '°C')}, above t_max {show(limit, '°C')}"
        yield ("current", "t_max"), told
    base = {row.temperature: row.max for row in rows if row.basis == 0.0}
    for row in rows:
        if row.basis == 1.0 and row.max > base.get(row.temperature, float("inf")):
            told = f"the derated current {show(row.max, 'A')} at {show(row.temperature, '°C')}"
            yield ("current",), f"{told} is above the base curve there, {show(base[row.temperature], 'A')}"
