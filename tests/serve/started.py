"""The server as a process of its own, as `partcheck serve` starts it."""

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path


@dataclass
class Started:
    """A running server: its process, its address and the key to it."""

    process: "subprocess.Popen[str]"
    at: str
    key: str

    def kill(self) -> None:
        """End it as a power cut does."""
        self.process.kill()
        self.process.wait(30)


@contextmanager
def started(folder: Path, catalog: Path | str, *options: str, cwd: Path | None = None) -> Iterator[Started]:
    """A server of a folder and a catalog; it is gone afterwards."""
    command = [sys.executable, "-m", "partcheck", "serve", str(folder), "--catalog", str(catalog), *options]
    process = subprocess.Popen(
        command,
        stderr=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        text=True,
        cwd=cwd,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    try:
        assert process.stderr is not None
        said, found = "", None
        while found is None and (line := process.stderr.readline()):  # what a killed one left may be told first
            said += line
            found = re.search(r"(http://[^/]+)/\?key=(\S+)", line)
        assert found is not None, said
        yield Started(process, found[1], found[2])
    finally:
        process.terminate()
        try:
            process.wait(30)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait(30)
        if process.stderr is not None:
            process.stderr.close()
