"""The frame of every page: templates, numbers that keep their JSON value, pictures, and how long a page may grow."""

from collections.abc import Sequence
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from partcheck import __version__
from partcheck.jobs.judge.place import Judged
from partcheck.jobs.judge.setup import Setup
from partcheck.policy import ASSUMED, VALUES
from partcheck.readings.explain import Compared, Finding
from partcheck.readings.trace import tell
from partcheck.report.explained import short
from partcheck.report.html import mathml
from partcheck.report.html.pictures.drawing import Picture
from partcheck.report.lines import number, percent, plain
from partcheck.report.records.common import finite
from partcheck.report.remedied import remedies_of
from partcheck.requirement import Verdict
from partcheck.units import show

TEMPLATES = Path(__file__).parent / "templates"
ROOM = 720_000
"""Characters of a page that pictures and unfolded explanations may fill; what is beyond is named instead."""
SIGNS = {Verdict.MEETS: "●", Verdict.TIGHT: "◐", Verdict.UNPROVEN: "?", Verdict.FAILS: "✕"}


class Page:
    """One page being made: counts its pictures and what room is left."""

    def __init__(self) -> None:
        self.pictures, self.left = 0, ROOM

    def figure(self, picture: Picture | None, note: str = "", within: bool = False) -> Markup:
        """A picture with its finding as caption and text alternative; nothing where there is none.

        ``within`` a larger piece that is counted as a whole.
        """
        if picture is None:
            return Markup("")
        self.pictures += 1
        made = Markup(
            '<figure><div class="picture" tabindex="0" role="group" aria-label="{}">{}</div>'
            "<figcaption><b>{}.</b> {}{}</figcaption></figure>"
        ).format(
            plain(picture.title), Markup(picture.numbered(self.pictures)), plain(picture.title), plain(picture.finding),
            f" {note}" if note else "",
        )  # fmt: skip
        return made if within else self.afford(made, "a picture")

    def afford(self, made: Markup, what: str) -> Markup:
        """A large piece of a page while there is room; a sentence in its place where there is none."""
        if len(made) > self.left:
            return Markup('<p class="left-out">Left out, as the page would grow too large: {}.</p>').format(plain(what))
        self.left -= len(made)
        return made


def data(value: float | None, unit: str, shown: str | None = None) -> Markup:
    """A number as a reader sees it, which keeps its exact value as in the JSON answer."""
    text = shown if shown is not None else number(value if value is not None else float("nan"), unit)
    exact = finite(value, unit) if value is not None else None
    if exact is None:
        return Markup('<span class="num">{}</span>').format(text)
    return Markup('<data class="num" value="{}">{}</data>').format(repr(exact), text)


def share(headroom: float) -> Markup:
    """A headroom in per cent."""
    return data(headroom, "", percent(headroom))


def badge(verdict: Verdict) -> Markup:
    """A verdict: a sign, a word and a colour."""
    word = "FAILS" if verdict is Verdict.FAILS else verdict.word
    return Markup('<span class="badge v-{}"><span aria-hidden="true">{}</span> {}</span>').format(
        verdict.word, SIGNS[verdict], word
    )


def own(text: object) -> Markup:
    """A name from outside: its direction of writing stays its own."""
    return Markup("<bdi>{}</bdi>").format(plain(text))


def sides(finding: Finding) -> list[dict[str, Any]]:
    """Each demand and capability of a requirement: formula, digits, result."""

    def side(label: str, made: Compared, index: int, value: float, digits: str, symbols: str) -> dict[str, Any]:
        unit = finding.requirement.unit
        plain_word = digits if digits not in (symbols, number(value, unit)) else ""
        return {"label": label, "math": mathml.formula(made.traced[index], value, unit), "digits": plain_word}

    return [
        entry
        for made in finding.compared
        for entry in (
            side("demand", made, 0, made.demand, made.demand_digits, made.demand_symbols),
            side("capability", made, 1, made.capability, made.capability_digits, made.capability_symbols),
        )
    ]


def _shortened(text: str) -> str:
    return text if len(text) <= 600 else f"{text[:420]} … {text[-160:]}"


def underneath(judged: Judged) -> dict[str, Any]:
    """What lies under the numbers of a place, each thing once: named steps, and where values were stated."""
    story = tell(*(n for finding in judged.findings for made in finding.compared for n in made.traced))
    steps = [
        {
            "name": s.name,
            "math": mathml.named(s.name, s.inner, s.value, s.unit),
            "digits": _shortened(s.digits) if s.digits != s.symbols else "",
        }
        for s in story.steps
    ]
    stated = [
        {
            "name": o.name,
            "value": o.value if isinstance(o.value, str) else data(o.value, o.unit, show(o.value, o.unit)),
            "where": o.source or ("source not recorded" if o.from_part else ""),
            "of": "datasheet" if o.from_part else "board",
        }
        for o in story.origins
    ]
    return {"steps": steps, "stated": stated}


def policy_rows(setup: Setup) -> list[tuple[str, Markup, str, str]]:
    """Every value in force: name, value, meaning, source."""
    policy = setup.policy
    rows = [
        (name, data(policy.value(name), v.unit), v.meaning, policy.source(name))
        for name, v in VALUES.items()
        if policy.value(name) == policy.value(name)
    ]
    rows += [
        (f"assumed {name}", data(policy.assumption(name), v.unit), v.meaning, policy.assumed_sources.get(name, ""))
        for name, v in ASSUMED.items()
        if policy.assumption(name) == policy.assumption(name)
    ]
    return rows


@cache
def environment() -> Environment:
    """The templates; everything that is put into them is escaped, and made visible."""
    made = Environment(
        loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True, finalize=lambda x: x if isinstance(x, Markup) else "" if x is None else plain(x),
    )  # fmt: skip
    made.filters.update(
        share=share, badge=badge, own=own, data=data, sides=sides, short=short, show=show, underneath=underneath
    )
    made.globals.update(
        Verdict=Verdict, remedies_of=remedies_of, style=Markup((TEMPLATES / "style.css").read_text("utf-8"))
    )
    return made


def render(template: str, setup: Setup, title: str, made_on: date | None = None, **values: Any) -> str:
    """The page of an answer; ``made_on`` is today where it is not given."""
    page, board = Page(), setup.board_file.board
    text: str = environment().get_template(template).render(
        page=page, setup=setup, title=title, version=__version__, made_on=(made_on or date.today()).isoformat(),
        board=board, fingerprint=setup.board_file.fingerprint, policy_rows=policy_rows(setup), **values,
    )  # fmt: skip
    return "\n".join(line for line in text.splitlines() if line.strip()) + "\n"


def worst_first(findings: Sequence[Finding]) -> list[Finding]:
    """Findings by verdict, then by headroom."""
    return sorted(findings, key=lambda f: (f.verdict, f.headroom if f.headroom == f.headroom else 9.0))
