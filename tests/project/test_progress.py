"""On a terminal whoever waits sees what is going on; elsewhere, and in the answer, there is nothing of it."""

import io
import shutil
import sys
import time
from pathlib import Path

import pytest

from partcheck import stages
from partcheck.cli import progress
from tests.command import BOARD, SAMPLES, run


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture
def hurried(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(progress, "PATIENCE", 0.0)
    monkeypatch.setattr(progress, "_EVERY", 0.002)


def test_every_job_says_what_it_does_and_takes_the_line_away(
    hurried: None, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    shutil.copytree(SAMPLES, tmp_path / "parts")  # not read before in this process
    for words, said in (
        (["check", BOARD, "--parts", tmp_path / "parts"], "reading board and parts"),
        (["swap", BOARD, "Q2"], "looking for stand-ins"),
        (["plan", BOARD], "searching for the smallest plan ["),
        (["catalog", "find", "led", "--catalog", "no-such.sqlite"], ""),
    ):
        screen = Terminal()
        monkeypatch.setattr("partcheck.__main__.watching", lambda screen=screen: _on(screen, monkeypatch))
        ran = run(monkeypatch, capsys, *words)
        assert said in screen.getvalue(), words
        if said:
            assert screen.getvalue().endswith(f"\r{'':<79}\r"), "the line is taken away"
        assert "\r" not in ran.out and "\r" not in ran.err


def _on(screen: Terminal, monkeypatch: pytest.MonkeyPatch):  # type: ignore[no-untyped-def]
    from contextlib import contextmanager

    @contextmanager
    def made():  # type: ignore[no-untyped-def]
        own = sys.stderr
        sys.stderr = screen
        try:
            with progress.watching():
                yield
        finally:
            sys.stderr = own

    return made()


def test_nothing_is_shown_where_nobody_watches_and_no_thread_is_started(capsys: pytest.CaptureFixture[str]) -> None:
    import threading

    before = threading.active_count()
    with progress.watching(), stages.during("work"):
        assert threading.active_count() == before
    assert capsys.readouterr().err == ""


def test_short_work_shows_no_line(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = Terminal()
    monkeypatch.setattr(sys, "stderr", screen)
    with progress.watching(), stages.during("work"):
        time.sleep(0.25)
    assert screen.getvalue() == ""


def test_the_stage_that_knows_its_length_is_told_and_a_slip_ends_it() -> None:
    with stages.during("outer"):
        seen = [(stages.running().what, stages.running().done) for _ in stages.each("inner", "ab")]  # type: ignore[union-attr]
        assert seen == [("inner", 0), ("inner", 1)]
        assert stages.running() is not None and stages.running().what == "outer"  # type: ignore[union-attr]
        for _ in stages.each("left early", [1, 2]):
            break
    with pytest.raises(ValueError), stages.during("fails"):
        raise ValueError
    assert stages.running() is None


def test_a_catalog_is_looked_through_under_a_name(tmp_path: Path) -> None:
    from partcheck.catalog import look_through, open_catalog
    from partcheck.catalog.store import Catalog

    seen = []
    own = Catalog.verify
    open_catalog(tmp_path / "c.sqlite", create=True).close()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Catalog, "verify", lambda self: (seen.append(stages.running()), own(self))[1])
        look_through(str(tmp_path / "c.sqlite"))
    assert seen[0] is not None and seen[0].what == "looking through the catalog"
