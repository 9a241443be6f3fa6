"""Start the server on this machine, say its address, and end in one line."""

import contextlib
import logging
import signal
import socket
import threading
from collections.abc import Callable
from dataclasses import replace

from partcheck.errors import UsageError
from partcheck.serve.guard import KEY
from partcheck.serve.serving import HERE, Serving

NEEDED = "python -m pip install 'partcheck[serve]'"
USUAL = 8790
"""The first port that is tried where none is asked for."""
TRIED = 20
_SLOW = 10
"""Seconds for which an idle connection is kept."""
_AT_ONCE = 200
"""Connections; more are told to come again."""


def serve(serving: Serving, say: Callable[[str], None]) -> None:
    """Serve until interrupted; ``say`` is given the address as soon as it answers."""
    try:
        import fastapi  # noqa: F401
        import python_multipart  # noqa: F401
        import uvicorn
    except ImportError as slip:
        raise UsageError(f"`partcheck serve` needs the package {slip.name}; install it with: {NEEDED}") from None
    from partcheck.serve.application import application
    from partcheck.serve.bench import Bench
    from partcheck.serve.patience import PatientConnection

    listening = _listening(serving.address, serving.port)
    bench = Bench(replace(serving, port=listening.getsockname()[1]))
    try:
        logging.basicConfig(format="partcheck: %(message)s", level=logging.WARNING)
        config = uvicorn.Config(
            application(bench),
            http=PatientConnection,
            access_log=False,  # the key stands in an address
            log_config=None,
            log_level="error",
            lifespan="off",
            server_header=False,
            proxy_headers=False,
            timeout_keep_alive=_SLOW,
            limit_concurrency=_AT_ONCE,
            timeout_graceful_shutdown=2,
        )
        server = uvicorn.Server(config)
        say(f"{at(bench.serving)}/?{KEY}={bench.keys.key}")
        with contextlib.suppress(KeyboardInterrupt):
            _end_as_interrupted()
            server.run(sockets=[listening])
    finally:
        listening.close()
        bench.workers.end()


def _end_as_interrupted() -> None:
    """Let a request to end be an interrupt, so that what is kept for this run goes with it."""

    def end(number: int, frame: object) -> None:
        raise KeyboardInterrupt

    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGTERM, end)


def at(serving: Serving) -> str:
    """The address of the server: ``http://127.0.0.1:8790``."""
    host = f"[{serving.address}]" if ":" in serving.address else serving.address
    return f"http://{host}:{serving.port}"


def _listening(address: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    wanted = [port] if port else [*range(USUAL, USUAL + TRIED), 0]
    for each in wanted:
        made = socket.socket(family, socket.SOCK_STREAM)
        try:
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            made.bind((address, each))
            made.listen(128)
            return made
        except OSError as slip:
            made.close()
            if each == wanted[-1]:
                where = f"port {port}" if port else address
                raise UsageError(
                    f"{where} cannot be used ({slip.strerror}); choose another port with --port, or {HERE} as address"
                ) from None
    raise UsageError("no port is free; choose one with --port")
