"""People who browse a large catalog at once: how long they wait, whether anything fails, whether memory grows.

``python tests/bench/bench_serve.py [PARTS] [PEOPLE] [SECONDS]`` fills a catalog with invented parts, starts the server as a
process of its own and lets each person look at a page, read for a few seconds, and go on: lists, searches by words and
values, parts, histories. One process asks for all of them; it is bounded in time.
"""

import asyncio
import os
import random
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

import httpx2 as httpx

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.bench.invented import fill

READS = (1.0, 5.0)
"""Seconds for which a page is read before the next is asked for."""
WORDS = ("MOS", "LED", "7", "SOT-23", "A1", "zzz")
SEARCHES = (
    {"kind": "mosfet", "where": "vds_max >= 60 V", "sort": "price"},
    {"kind": "mosfet", "where": "rds_on.max <= 30 mΩ at vgs <= 4.5 V"},
    {"kind": "led", "sort": "-quantity"},
    {"kind": "led", "page": "40"},
    {"page": "1200"},
)


def _started(folder: Path, catalog: Path) -> tuple["subprocess.Popen[str]", str, str]:
    command = [sys.executable, "-m", "partcheck", "serve", str(folder), "--catalog", str(catalog), "--read-only"]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    assert process.stderr is not None
    found = re.search(r"(http://[^/]+)/\?key=(\S+)", process.stderr.readline())
    assert found is not None
    return process, found[1], found[2]


def _memory(process: "subprocess.Popen[str]") -> float:
    text = Path(f"/proc/{process.pid}/status").read_text()
    found = re.search(r"VmRSS:\s+(\d+)", text)
    return int(found[1]) / 1024 if found else float("nan")


def _worked(process: "subprocess.Popen[str]") -> float:
    """CPU seconds of the server so far, which other programs of the machine change least."""
    fields = Path(f"/proc/{process.pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


async def _person(
    client: httpx.AsyncClient, chance: random.Random, until: float, waits: list[tuple[str, float]]
) -> int:
    failed = 0
    links: list[str] = []
    while time.monotonic() < until:
        await asyncio.sleep(chance.uniform(*READS))
        what = chance.choice(("list", "words", "values", "part", "part", "history"))
        if what in ("part", "history") and links:
            link = chance.choice(links)
            path, asked = (link if what == "part" else link.replace("/part?", "/part/history?")), {}
        else:
            what = "words" if what == "words" else "values" if what == "values" else "list"
            path = "/catalog"
            asked = (
                {"q": chance.choice(WORDS)} if what == "words" else chance.choice(SEARCHES) if what == "values" else {}
            )
        begun = time.monotonic()
        answer = await client.get(path, params=asked or None)
        waits.append((what, time.monotonic() - begun))
        if answer.status_code != 200:
            failed += 1
            print(f"{answer.status_code} at {answer.url}")
        links = [
            each.replace("&amp;", "&") for each in re.findall(r'href="(/catalog/part\?[^"]+)"', answer.text)
        ] or links
    return failed


async def _browse(at: str, key: str, people: int, seconds: float) -> tuple[list[tuple[str, float]], int]:
    waits: list[tuple[str, float]] = []
    limits = httpx.Limits(max_connections=people)
    async with httpx.AsyncClient(base_url=at, timeout=60, limits=limits) as client:
        await client.get(f"/?key={key}")
        until = time.monotonic() + seconds
        each = (_person(client, random.Random(i), until, waits) for i in range(people))
        return waits, sum(await asyncio.gather(*each))


def main() -> None:
    """Fill, start, browse, tell."""
    parts, people, seconds = (int(word) for word in (*sys.argv[1:], 100_000, 20, 60)[:3])
    with tempfile.TemporaryDirectory() as name:
        folder, catalog = Path(name), Path(name) / "catalog.sqlite"
        (folder / "boards").mkdir()
        fill(catalog, parts)
        print(f"{parts} parts in {catalog.stat().st_size / 1e6:.0f} MB")
        process, at, key = _started(folder / "boards", catalog)
        try:
            for half in ("first", "second"):
                before = _worked(process)
                waits, failed = asyncio.run(_browse(at, key, people, seconds / 2))
                _tell(half, waits, failed, _memory(process))
                print(f"{half} half: {(_worked(process) - before) / len(waits) * 1e3:.0f} ms of CPU a page")
        finally:
            process.terminate()
            process.wait(30)


def _tell(half: str, waits: list[tuple[str, float]], failed: int, memory: float) -> None:
    for what in ("all", *sorted({what for what, _ in waits})):
        some = sorted(wait for each, wait in waits if what in ("all", each))
        p95 = some[min(len(some) - 1, int(0.95 * len(some)))]
        print(
            f"{half} half, {what:8}: {len(some):4} pages, median {median(some) * 1e3:4.0f} ms, p95 {p95 * 1e3:4.0f} ms"
        )
    print(f"{half} half: {failed} failed, the server holds {memory:.0f} MB; load {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
