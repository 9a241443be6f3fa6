"""The guide for developers is true: what it names is there, and what exists was made as its recipes say."""

import re
from pathlib import Path

import pytest

from partcheck.board.models import ROLE_KINDS
from partcheck.parameters import KINDS
from partcheck.report.document import Block
from partcheck.report.render import html, markdown, text
from partcheck.roles import LINK_ROLES, ROLES
from partcheck.situation.places import FACTS, LINKS

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "partcheck"
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
WORDS = re.findall(r"`([^`\n]+)`", GUIDE)
QUESTIONS = sorted(path.parent for path in (PACKAGE / "report/answers").glob("*/document.py"))


def section(title: str) -> str:
    return GUIDE[GUIDE.index(f"## {title}\n") :].split("\n## ", 1)[0]


def candidates(word: str) -> list[Path]:
    """Where a path of the guide may be: from the top, in the package, or in the room that the paragraph is about."""
    return [
        ROOT / word,
        PACKAGE / word,
        *(PACKAGE / room / word for room in ("jobs", "report", "report/html", "board")),
    ]


FILES = sorted(
    {word for word in WORDS if re.fullmatch(r"[\w./-]+/[\w./-]*|[\w/-]+\.(py|md|toml)", word) and "<" not in word}
)


@pytest.mark.parametrize("word", FILES)
def test_every_file_and_folder_that_the_guide_names_is_there(word: str) -> None:
    if any(path.exists() for path in candidates(word)):
        return
    assert any(
        path.as_posix().endswith(f"/{word}") for path in [*PACKAGE.rglob("*.py"), *(ROOT / "tests").rglob("*.py")]
    )


@pytest.mark.parametrize(
    "name", ["To add a datasheet parameter", "To add a requirement", "To add a role", "To add a job"]
)
def test_a_recipe_has_numbered_steps_that_name_files(name: str) -> None:
    steps = re.findall(r"^\d\. ", section(name), re.MULTILINE)
    assert len(steps) >= 4 and len(re.findall(r"`[^`]*(?:\.py|/)[^`]*`", section(name))) >= 4


@pytest.mark.parametrize("name", sorted(ROLES))
def test_a_role_is_in_every_place_that_its_recipe_names(name: str) -> None:
    recipe, module = section("To add a role"), name.replace("-", "_")
    assert ROLE_KINDS[name] in KINDS and name in FACTS
    assert f'Literal["{name}"]' in (PACKAGE / "board/roles.py").read_text(encoding="utf-8")
    assert (ROOT / f"tests/examples/roles/{module}.py").exists()
    assert f'role = "{name}"' in (ROOT / "partcheck/formats/board.example.toml").read_text(encoding="utf-8")
    for told in (
        "board/roles.py",
        "ROLE_KINDS",
        "situation/places.py",
        "tests/examples/roles/",
        "partcheck/formats/board.example.toml",
    ):
        assert told in recipe


def test_a_link_is_registered_like_a_role() -> None:
    assert set(LINKS) == set(LINK_ROLES)


@pytest.mark.parametrize("folder", QUESTIONS, ids=lambda folder: folder.name)
def test_an_answer_is_made_as_the_recipe_says(folder: Path) -> None:
    """Those of the catalog's list and of one part have no record of their own."""
    document = (folder / "document.py").read_text(encoding="utf-8")
    assert re.search(r"^def \w+\(.*?\) -> d\.Document:", document, re.MULTILINE | re.DOTALL)
    if folder.name != "parts":
        record = (folder / "record.py").read_text(encoding="utf-8")
        assert re.search(r"^def \w+\([^)]*\) -> \w+Record:", record, re.MULTILINE)
        schema = (PACKAGE / "report/schema.py").read_text(encoding="utf-8")
        assert f"partcheck.report.answers.{folder.name}.record import" in schema


def test_every_rendering_is_compared() -> None:
    modules = {path.stem for path in (PACKAGE / "report/render").glob("*.py")} - {"__init__", "spans", "csv"}
    assert modules == {module.__name__.rpartition(".")[2] for module in (text, markdown, html)}
    for module in (text, markdown, html):
        assert set(module.RENDERED) == set(Block.__subclasses__())


def test_the_words_are_about_twenty() -> None:
    rows = re.findall(r"^\| [^-|]", section("Words"), re.MULTILINE)
    assert 18 <= len(rows) <= 25
