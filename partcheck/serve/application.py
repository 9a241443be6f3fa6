"""The application, put together: pages, records for programs, style and script, and the guard before all of it."""

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles

from partcheck import __version__
from partcheck.serve.bench import Bench
from partcheck.serve.faults import RefusalRecord, tell_faults
from partcheck.serve.guard import Application, Guard
from partcheck.serve.pages import STATIC
from partcheck.serve.process import work_on
from partcheck.serve.routes import (
    boards,
    catalog,
    entering,
    importing,
    lists,
    long_work,
    new_board,
    parts,
    places,
    records,
    whatif,
)

ROUTES = (
    lists,
    boards,
    whatif,
    places,
    long_work,
    records,
    catalog,
    parts,
    entering,
    importing,
    new_board,
)
ABOUT = (
    "The answers that the command `partcheck` gives with `--json`, for the boards of one folder. Numbers are SI, "
    "temperatures °C; null is missing. Every request carries the key that was printed, as a bearer token."
)


def application(bench: Bench) -> Application:
    """The whole server behind its guard."""
    app = FastAPI(
        title="partcheck",
        version=__version__,
        description=ABOUT,
        openapi_url="/api/openapi.json",
        docs_url=None,  # such pages load their script from another server
        redoc_url=None,
        responses={400: {"model": RefusalRecord}, 404: {"model": RefusalRecord}, 422: {"model": RefusalRecord}},
    )
    app.state.bench = bench
    bench.workers.does = work_on
    tell_faults(app)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    for module in ROUTES:
        app.include_router(module.router)
    return Guard(app, bench)
