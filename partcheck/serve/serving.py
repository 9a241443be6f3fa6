"""What is served and how, as the command was asked."""

from dataclasses import dataclass
from pathlib import Path

HERE = "127.0.0.1"
"""Where is listened unless another address is asked for: nobody but this machine."""
MOST_BODY = 4_000_000
"""Bytes that one request may bring: twice the largest board file, and a large sheet."""
PATIENCE = 20.0
"""Seconds within which a request has to bring what it announces."""


@dataclass(frozen=True)
class Serving:
    """A folder of boards with the parts and policy that they are judged with, and who may ask.

    ``names`` are further names under which the server may be reached, behind a proxy of one's own.
    """

    folder: Path
    parts: tuple[Path, ...] = ()
    catalog: str | None = None
    policy: str | None = None
    read_only: bool = False
    address: str = HERE
    port: int = 0
    names: tuple[str, ...] = ()

    @property
    def hosts(self) -> frozenset[str]:
        """The values of ``Host`` that mean this server."""
        own = [f"{name}:{self.port}" for name in ("127.0.0.1", "localhost", "[::1]")]
        if self.address not in (HERE, "::1", "localhost"):
            own.append(f"{self.address}:{self.port}")
        further = [form for name in self.names for form in (name, f"{name}:{self.port}")]
        return frozenset(host.lower() for host in (*own, *further))

    @property
    def origins(self) -> frozenset[str]:
        """The values of ``Origin`` that mean a page of this server; a proxy may speak TLS."""
        named = {name.lower() for name in self.names}
        made = {f"http://{host}" for host in self.hosts}
        return frozenset(made | {f"https://{host}" for host in self.hosts if host.split(":")[0] in named})
