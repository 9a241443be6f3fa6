"""A page that comes as its work goes on: its head at once, what is being done, then the answer.

It needs no script: a line of progress is covered by the next one, and all of them by the answer. Whoever closes the
page, or goes on to another, closes the connection, which ends the work.
"""

from collections.abc import AsyncIterator
from typing import Any

from fastapi import Request
from fastapi.responses import Response, StreamingResponse
from markupsafe import Markup

from partcheck.errors import PartcheckError
from partcheck.report.lines import plain
from partcheck.serve.answers import Form, as_file, files
from partcheck.serve.asked import BoardAsked
from partcheck.serve.bench import Bench
from partcheck.serve.long import LongWork
from partcheck.serve.pages import page, piece
from partcheck.serve.rendered import RenderedAnswer
from partcheck.serve.worker import Finished, Progress

PLACE = "<!-- the answer -->"


async def long_answer(
    request: Request,
    bench: Bench,
    asked: BoardAsked | None,
    work: LongWork | None,
    form: Form | None,
    title: str,
    template: str,
    **values: Any,
) -> Response:
    """The answer of some long work, as a page that comes bit by bit, or as a file; without work its form alone."""
    if form is not None and work is not None:
        name, text = await finished(request, bench, work, form)
        return as_file(name, text, form)
    back = asked.ways_back("/board") if asked is not None else []
    hidden = asked.hidden() if asked is not None else []
    ways = files(request) if work is not None else []
    file = asked.file if asked is not None else ""
    whole = page(request, bench, template, title, file=file, back=back, hidden=hidden, files=ways, **values)
    if work is None:
        return whole
    head, _, tail = bytes(whole.body).decode().partition(PLACE)
    return StreamingResponse(_coming(bench, work, head, tail), media_type="text/html")


async def piecewise(bench: Bench, work: LongWork) -> Response:
    """The same as a piece of a page, for the script."""
    return StreamingResponse(_coming(bench, work, "", ""), media_type="text/html")


async def finished(request: Request, bench: Bench, work: LongWork, form: Form) -> tuple[str, str]:
    """The name and text of an answer as a file; the work ends when nobody waits for it."""
    name, text = await awaited(request, bench, work, form)
    return name, text


async def awaited(request: Request, bench: Bench, work: LongWork, form: Form | None) -> Any:
    """What some work comes to; it ends when nobody waits for it."""
    doing = bench.workers.do(work, form)
    try:
        async for step in doing:
            if isinstance(step, Finished):
                return step.made
            if await request.is_disconnected():
                break
    finally:
        await doing.aclose()  # type: ignore[attr-defined]
    raise PartcheckError("nobody waits for this any more")


async def _coming(bench: Bench, work: LongWork, head: str, tail: str) -> AsyncIterator[str]:
    yield head
    last: Progress | None = None
    doing = bench.workers.do(work, None)
    try:
        async for step in doing:
            if isinstance(step, Progress):
                if step != last:
                    yield _line(step)
                last = step
            else:
                yield _answer(step.made)
    except PartcheckError as slip:
        yield str(piece("slip.html", sentence=str(slip), details=slip.details[:200]))
    except RuntimeError as fault:
        bench.tell_fault(str(fault), work.name)
        yield str(piece("slip.html", sentence="An internal fault: the line on the terminal says where.", details=()))
    finally:
        await doing.aclose()  # type: ignore[attr-defined]
    yield tail


def _line(step: Progress) -> str:
    if step.total:
        bar = Markup(' <progress max="{}" value="{}"></progress> {} of {}').format(
            step.total, step.done, step.done, step.total
        )
    else:
        bar = Markup(" …")
    return str(Markup('<p class="doing">{}{}</p>\n').format(plain(step.what), bar))


def _answer(made: RenderedAnswer) -> str:
    return str(
        piece(
            "coming.html",
            heading=Markup(made.heading),
            finding=Markup(made.finding),
            rest=Markup(made.rest),
            identity=Markup(made.identity),
            notes=made.notes,
            marks=made.marks,
        )
    )
