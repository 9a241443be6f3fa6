"""A connection on which no whole request head comes in time is closed; what a request brings is timed by the guard."""

import asyncio

from uvicorn.protocols.http.h11_impl import H11Protocol

from partcheck.serve.serving import PATIENCE


class PatientConnection(H11Protocol):
    """One connection: the wait for a request head begins when it opens, and with the first byte after an answer."""

    patience = PATIENCE
    _waiting: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """The connection is open."""
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Some bytes came."""
        before = self.cycle
        super().data_received(data)
        if self.cycle is not before:
            self._come()
        elif self._waiting is None and (before is None or before.response_complete):
            self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        """The other end went away."""
        self._come()
        super().connection_lost(exc)

    def _wait(self) -> None:
        self._waiting = self.loop.call_later(self.patience, self._give_up)

    def _come(self) -> None:
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None

    def _give_up(self) -> None:
        self._waiting = None
        if not self.transport.is_closing():
            self.transport.close()
