"""Who may ask, and the headers of every response: everything that comes in passes here first.

A browser asks any server on this machine that a page tells it to ask. So a request has to name this server as its
host, may not come from a page of another one, has to carry the key of this run (in the address that was printed, then
as a cookie that no other site sends along), and may bring no more than is stated. A write carries the token of a form
besides (:func:`checked_form`).
"""

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable, MutableMapping
from contextlib import suppress
from typing import Any
from urllib.parse import urlencode

from fastapi import HTTPException, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from partcheck.serve.bench import Bench
from partcheck.serve.keys import same
from partcheck.serve.serving import MOST_BODY, PATIENCE

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
Application = Callable[[MutableMapping[str, Any], Receive, Send], Awaitable[None]]

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=(), usb=(), serial=()",
    "cache-control": "no-store",
}
KEY, FORM, HEADER = "key", "form_token", "x-partcheck-form"
"""The key in an address; the token in a form; the header of the same token, for the script."""
LONGEST = 8000
"""Characters of an address."""
OPEN = "/static/"
"""Needs no key: style and script, in which nothing is kept."""
REFUSED = {
    400: "The request is not one that this server answers.",
    401: "Open the address that `partcheck serve` printed when it was started: it holds the key for this browser.",
    403: "The request does not come from a page of this server; open the page itself and try again.",
    405: "Pages are read with GET, and changed with POST.",
    408: "The request did not bring what it announced in time; try again.",
    413: f"A request may bring {MOST_BODY / 1e6:.0f} MB at most.",
    414: "The address is too long to be one of a page here.",
    421: "This server is reached at the address that `partcheck serve` printed, and by no other name.",
}


class _Refused(Exception):
    def __init__(self, code: int) -> None:
        self.code = code


class Guard:
    """The application behind it is asked only by who may."""

    def __init__(self, application: Application, bench: Bench) -> None:
        self.application, self.bench = application, bench

    async def __call__(self, scope: MutableMapping[str, Any], receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] == "lifespan":
            await self.application(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})
            return
        sending = _with_headers(send, Request(scope).url.path)
        try:
            answer = self._answer(Request(scope))
            _refuse_large(Request(scope))
        except _Refused as refused:
            answer = Response(REFUSED[refused.code], refused.code, media_type="text/plain")
        if answer is not None:
            await answer(scope, receive, sending)
            return
        with suppress(Exception):  # it was told and logged (``faults.py``), and is passed on only to be logged again
            await self.application(scope, _Bounded(receive), sending)

    def _answer(self, request: Request) -> Response | None:
        """What is answered in place of the application; None where it may be asked."""
        self._refuse_stranger(request)
        if request.url.path.startswith(OPEN):
            return None
        keys, given = self.bench.keys, request.query_params.get(KEY)
        if given is not None and request.method == "GET":
            if not same(given, keys.key):
                raise _Refused(401)
            return self._let_in(request)
        if not (same(request.cookies.get(cookie_of(self.bench)), keys.session) or _bears(request, self.bench)):
            raise _Refused(401)
        return None

    def _refuse_stranger(self, request: Request) -> None:
        hosts, origins = request.headers.getlist("host"), request.headers.getlist("origin")
        if len(hosts) != 1 or hosts[0].lower() not in self.bench.serving.hosts:
            raise _Refused(421)
        if request.method not in ("GET", "HEAD", "POST"):
            raise _Refused(405)
        if len(request.url.path) + len(request.url.query) > LONGEST:
            raise _Refused(414)
        if any(origin.lower() not in self.bench.serving.origins for origin in origins):
            raise _Refused(403)
        site = request.headers.get("sec-fetch-site", "none")
        if request.method == "POST" and site not in ("same-origin", "none"):
            raise _Refused(403)

    def _let_in(self, request: Request) -> Response:
        """The same address without the key, and the cookie in its place."""
        rest = [pair for pair in request.query_params.multi_items() if pair[0] != KEY]
        path = "/" + request.url.path.lstrip("/")
        answer = RedirectResponse(path + (f"?{urlencode(rest)}" if rest else ""), 303)
        answer.set_cookie(cookie_of(self.bench), self.bench.keys.session, httponly=True, samesite="strict", path="/")
        return answer


def cookie_of(bench: Bench) -> str:
    """The name of the cookie; cookies of one machine are shared by all its ports."""
    return f"partcheck-{bench.serving.port}"


def _bears(request: Request, bench: Bench) -> bool:
    kind, _, key = request.headers.get("authorization", "").partition(" ")
    return kind.lower() == "bearer" and same(key.strip(), bench.keys.key)


def _refuse_large(request: Request) -> None:
    text = request.headers.get("content-length", "0")
    if not text.isascii() or not text.isdigit():
        raise _Refused(400)
    if int(text) > MOST_BODY:
        raise _Refused(413)


class _Bounded:
    """What a request brings, up to a size and within a time."""

    def __init__(self, receive: Receive) -> None:
        self._receive, self._left, self._over = receive, MOST_BODY, False
        self._until = asyncio.get_running_loop().time() + PATIENCE

    async def __call__(self) -> Message:
        if self._over:
            return await self._receive()  # whether the other end is still there, for as long as work takes
        try:
            async with asyncio.timeout_at(self._until):
                message = await self._receive()
        except TimeoutError:
            raise HTTPException(408, REFUSED[408]) from None
        self._left -= len(message.get("body", b""))
        if self._left < 0:
            raise HTTPException(413, REFUSED[413])
        self._over = message["type"] != "http.request" or not message.get("more_body", False)
        return message


def _with_headers(send: Send, path: str) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            kept = [
                (name, value)
                for name, value in message["headers"]
                if name.decode("latin-1").lower() not in HEADERS and name.lower() != b"server"
            ]
            made = {**HEADERS, "cache-control": "max-age=3600"} if path.startswith(OPEN) else HEADERS
            message["headers"] = [*kept, *((name.encode(), value.encode()) for name, value in made.items())]
        await send(message)

    return sending


async def checked_form(request: Request) -> AsyncIterator[FormData]:
    """The form of a write: from a page of this run, and only where anything may be written."""
    bench: Bench = request.app.state.bench
    if bench.serving.read_only:
        raise HTTPException(403, "This server was started with --read-only; nothing is written here.")
    form = await request.form(max_files=6, max_fields=2000, max_part_size=MOST_BODY)
    try:
        given = request.headers.get(HEADER) or form.get(FORM)
        if not _bears(request, bench) and not same(given if isinstance(given, str) else None, bench.keys.form):
            raise HTTPException(403, "The form is from an earlier run of this server; load the page again and repeat.")
        yield form
    finally:
        await form.close()  # of large files it holds temporary ones
