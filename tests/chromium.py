"""A real browser for tests: Chromium, driven by Playwright.

Without one these tests are skipped; with PARTCHECK_REQUIRE_BROWSER set, as in ``.ci/run``, that is an error.
PARTCHECK_CHROMIUM names another one than the system's.
"""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome")


def _where() -> str | None:
    return os.environ.get("PARTCHECK_CHROMIUM") or next(filter(None, map(shutil.which, NAMES)), None)


@contextmanager
def chromium() -> Iterator[Any]:
    """The browser, open."""
    must = bool(os.environ.get("PARTCHECK_REQUIRE_BROWSER"))
    try:
        from playwright.sync_api import sync_playwright
    except ImportError as missing:
        if must:
            raise
        pytest.skip(f"no Playwright ({missing})")
    where = _where()
    if where is None:
        if must:
            raise RuntimeError("PARTCHECK_REQUIRE_BROWSER is set and there is no chromium")
        pytest.skip("no chromium on this machine; install it to run the browser tests")
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=where, args=["--no-sandbox"])
        yield opened
        opened.close()
