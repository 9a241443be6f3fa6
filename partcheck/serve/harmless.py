"""A fragment of an answer without a style of its own, as the pages here allow none: what it says becomes attributes.

Pictures carry ``style="fill: none; stroke-width: 1.7"`` on their shapes, and bars their length.
"""

import re

from markupsafe import Markup

_TAG = re.compile(r'<[a-zA-Z][^<>]*? style="[^"<>]*"[^<>]*>')
_STYLE = re.compile(r' style="([^"<>]*)"')
_WIDTH = re.compile(r"width:(\d{1,3})%")


def harmless(made: Markup) -> Markup:
    """The same fragment with attributes in place of each ``style``."""
    return Markup(_TAG.sub(lambda tag: _STYLE.sub(_attributes, tag[0]), made))


def _attributes(style: "re.Match[str]") -> str:
    width = _WIDTH.fullmatch(style[1])
    if width is not None:
        return f' data-width="{width[1]}"'
    pairs = (pair.partition(":") for pair in style[1].split(";") if pair.strip())
    return "".join(f' {name.strip()}="{value.strip()}"' for name, _, value in pairs if value.strip() not in ("", "-"))
