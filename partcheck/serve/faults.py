"""What cannot be done, told as a page, and to a program as a record."""

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from pydantic import Field
from starlette.exceptions import HTTPException

from partcheck.errors import PartcheckError
from partcheck.report.record import Record
from partcheck.serve.bench import Bench
from partcheck.serve.folder import NoSuchBoard
from partcheck.serve.pages import page

API = "/api/"
"""Before the paths that programs ask for."""
MOST_TOLD = 200
_WORDS = {
    404: "There is no such page here; the list of boards leads to all there are.",
    405: "This page cannot be requested in that way.",
}


class RefusalRecord(Record):
    """Why something was not done."""

    error: str = Field(description="one sentence: what is wrong, where, and what to do")
    details: list[str] = Field(default=[], description="further sentences, one for each bad key or cell")


def told(request: Request, code: int, sentence: str, details: tuple[str, ...] = ()) -> Response:
    """A refusal as whoever asked can read it."""
    details = details[:MOST_TOLD]
    if request.url.path.startswith(API):
        return JSONResponse(RefusalRecord(error=sentence, details=list(details)).model_dump(), code)
    bench: Bench = request.app.state.bench
    return page(request, bench, "refused.html", "Not done", code, sentence=sentence, details=details)


def tell_faults(app: FastAPI) -> None:
    """Let the application tell everything that goes wrong in a sentence."""

    @app.exception_handler(PartcheckError)
    def _slip(request: Request, slip: PartcheckError) -> Response:
        return told(request, 404 if isinstance(slip, NoSuchBoard) else 400, _capital(str(slip)), slip.details)

    @app.exception_handler(HTTPException)
    def _http(request: Request, slip: HTTPException) -> Response:
        return told(request, slip.status_code, _WORDS.get(slip.status_code, str(slip.detail)))

    @app.exception_handler(RequestValidationError)
    def _asked(request: Request, slip: RequestValidationError) -> Response:
        return told(request, 422, "The address does not ask for what this page shows.", tuple(map(_one, slip.errors())))

    @app.exception_handler(Exception)
    def _fault(request: Request, slip: Exception) -> Response:
        where = slip.__traceback__
        while where is not None and where.tb_next is not None:
            where = where.tb_next
        place = f"{where.tb_frame.f_code.co_filename}:{where.tb_lineno}" if where is not None else "?"
        request.app.state.bench.tell_fault(f"{type(slip).__name__}: {slip} at {place}", request.url.path)
        return told(
            request, 500, "An internal fault: this page could not be made. The line on the terminal says where."
        )


def _capital(sentence: str) -> str:
    first, _, rest = sentence.partition(" ")
    return f"{first[:1].upper()}{first[1:]} {rest}" if first.isalpha() and first.islower() else sentence


def _one(slip: dict[str, object]) -> str:
    where = slip.get("loc")
    name = ".".join(str(step) for step in where[1:]) if isinstance(where, tuple) else ""
    return f"{name}: {slip.get('msg', '')}"
