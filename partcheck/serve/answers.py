"""An answer in any form: as a page here, and as a file of HTML, Markdown, CSV or JSON, each as a command writes it."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from fastapi import Query, Request
from fastapi.responses import HTMLResponse, Response

from partcheck.report import document as d
from partcheck.report.document import Document
from partcheck.report.record import Record, to_text
from partcheck.serve.bench import Bench
from partcheck.serve.pages import WayTo, blocks, page, words

Form = Literal["html", "markdown", "csv", "json"]
AsFile = Annotated[
    Form | None, Query(alias="as", description="The answer as a file: html, markdown, csv or json; else as a page.")
]
_FORMS: dict[Form, tuple[str, str, str]] = {
    "html": ("text/html", "html", "Page"),
    "markdown": ("text/markdown", "md", "Markdown"),
    "csv": ("text/csv", "csv", "CSV"),
    "json": ("application/json", "json", "JSON"),
}


@dataclass(frozen=True)
class Told:
    """An answer as its command gives it: ``document(pictures)``, ``record()``, and ``table()`` where it has one."""

    name: str
    document: Callable[[bool], Document]
    record: Callable[[], Record | str]
    table: Callable[[], str] | None = None
    marks: Callable[[], Mapping[str, str]] = dict
    """Numbers for the script of a page, which moves something over what is shown."""

    def written(self, form: Form) -> str:
        """The whole answer in that form, as a command writes it."""
        if form == "html":
            from partcheck.report.render import html

            return html.render(self.document(True))
        if form == "markdown":
            from partcheck.report.render import markdown

            return markdown.render(self.document(False))
        if form == "csv":
            if self.table is not None:
                return self.table() + "\n"
            from partcheck.report.render import csv

            return csv.render(self.document(False)) + "\n"
        made = self.record()
        return made if isinstance(made, str) else to_text(made)

    def file(self, form: Form) -> Response:
        """The answer as a file to be kept."""
        return as_file(self.name, self.written(form), form)


def as_file(name: str, text: str, form: Form) -> Response:
    """A text as a file to be kept."""
    kind, ending, _ = _FORMS[form]
    name = re.sub(r"[^A-Za-z0-9._-]+", "-", name).strip("-.")[:80] or "answer"
    return Response(
        text,
        media_type=f"{kind}; charset=utf-8",
        headers={"content-disposition": f'attachment; filename="{name}.{ending}"'},
    )


def files(request: Request) -> list[WayTo]:
    """The address of this page in each form that can be kept."""
    return [
        WayTo(str(request.url.include_query_params(**{"as": form}).replace(scheme="", netloc="")), words)
        for form, (_, _, words) in _FORMS.items()
    ]


def answer_page(
    request: Request, bench: Bench, document: Document, title: str, template: str = "answer.html", **values: Any
) -> HTMLResponse:
    """A whole answer as a page: its finding, its blocks, its notes and what it rests on."""
    return page(
        request,
        bench,
        template,
        title,
        heading=words(document.title),
        finding=blocks(document.blocks[:1]),
        rest=blocks(document.blocks[1:]),
        notes=document.notes,
        identity=blocks([d.Facts(document.identity)]),
        **values,
    )


def as_json(record: Record | str) -> Response:
    """A record as a program gets it: the same text that a command writes with ``--json``."""
    text = record if isinstance(record, str) else to_text(record)
    return Response(text, media_type="application/json")
