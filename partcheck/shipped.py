"""Folders that live beside the package in a checkout and inside it in a wheel."""

from importlib.resources import files
from pathlib import Path


def folder(name: str) -> Path:
    """The shipped folder ``db`` or ``catalog_samples``; ``FileNotFoundError`` where it was not installed.

    The package's own folder is looked at first: a checkout has none there, and an editable install may have
    stale copies elsewhere. ``folder("db") / "versions"``.
    """
    package = Path(str(files("partcheck")))
    for place in (package / name, package.parent / name):
        if (place / "README.md").is_file():  # any folder may be called db
            return place
    raise FileNotFoundError(f"partcheck is installed without its {name} folder; install it again")
