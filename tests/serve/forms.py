"""A page's form as a browser would send it."""

import html
import re
from html.parser import HTMLParser
from typing import Any

from fastapi.testclient import TestClient


class _Reader(HTMLParser):
    """The fields of the form that is sent to one address, with what they hold."""

    def __init__(self, action: str) -> None:
        super().__init__()
        self.action, self.inside = action, False
        self.fields: dict[str, str] = {}
        self._name, self._text, self._select = "", "", ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.inside = said.get("action") == self.action
        if not self.inside:
            return
        if tag == "input" and said.get("type") not in ("radio", "checkbox", "file") and said.get("name"):
            self.fields[said["name"]] = said.get("value", "")
        if tag == "textarea":
            self._name, self._text = said.get("name", ""), ""
        if tag == "select":
            self._select = said.get("name", "")
            self.fields[self._select] = ""
        if tag == "option" and self._select and "selected" in said:
            self._name, self._text = f"option {self._select}", said.get("value", "\0")

    def handle_data(self, data: str) -> None:
        if self._name.startswith("option ") and self._text == "\0":
            self.fields[self._select] = data
        elif self._name:
            self._text += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea" and self._name:
            self.fields[self._name] = self._text.removeprefix("\n")
        if tag == "option" and self._name.startswith("option ") and self._text != "\0":
            self.fields[self._select] = self._text
        if tag in ("textarea", "option"):
            self._name = ""
        if tag == "select":
            self._select = ""
        if tag == "form":
            self.inside = False


def form_of(page: str, action: str) -> dict[str, str]:
    """What the form of a page would send, as it stands there."""
    reader = _Reader(action)
    reader.feed(page)
    assert reader.fields, f"no form to {action}"
    return reader.fields


def sent(client: TestClient, page: str, action: str, follow: bool = True, **values: Any) -> Any:
    """Send the form with other values; in their names ``__`` stands for a point."""
    fields = form_of(page, action) | {name.replace("__", "."): value for name, value in values.items()}
    return client.post(action, data=fields, follow_redirects=follow)


def words_of(page: str) -> str:
    """The page without tags."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())
