"""What partcheck is built and tried with: the lowest versions it states, those of development, and their licences.

    python .ci/pins.py lowest      constraints made of the lower bounds in pyproject.toml
    python .ci/pins.py lock        the versions of this environment, as far as development needs them
    python .ci/pins.py licences    the licences of what partcheck needs to run
    python .ci/pins.py check       whether the three files beside this one say the same

Each prints; ``--write`` writes the file. They hold names, versions and licences: no place where anything came from.
"""

import importlib.metadata as metadata
import re
import sys
import tomllib
from collections.abc import Iterable, Iterator
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

HERE = Path(__file__).parent
FILES = {"lowest": HERE / "lowest.txt", "lock": HERE / "lock.txt", "licences": HERE / "licences.md"}
TRIED = ("parquet", "postgres", "serve", "test")
"""Extras whose lowest versions are tried; the tools of development are not."""


def stated(extras: Iterable[str]) -> Iterator[Requirement]:
    """What pyproject.toml asks for, as it stands there."""
    project = tomllib.loads((HERE.parent / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for text in [*project["dependencies"], *(t for name in extras for t in project["optional-dependencies"][name])]:
        asked = Requirement(text)
        if asked.name != "partcheck":
            yield asked


def lowest() -> str:
    """A constraint for each lower bound."""
    pins = {}
    for asked in stated(TRIED):
        bound = next(each.version for each in asked.specifier if each.operator == ">=")
        pins[canonicalize_name(asked.name)] = f"=={bound}" + (f" ; {asked.marker}" if asked.marker else "")
    return "".join(f"{name}{pin}\n" for name, pin in sorted(pins.items()))


def needed(extras: tuple[str, ...]) -> dict[str, metadata.Distribution]:
    """Everything installed that partcheck needs with these extras, and what that needs in turn."""
    found: dict[str, metadata.Distribution] = {}
    waiting = list(stated(extras))
    while waiting:
        asked = waiting.pop()
        name = canonicalize_name(asked.name)
        if asked.marker is not None and not asked.marker.evaluate({"extra": ""}):
            continue
        if name in found and not asked.extras:
            continue
        found[name] = metadata.distribution(asked.name)
        for text in found[name].requires or ():
            inner = Requirement(text)
            wanted = ["", *sorted(asked.extras)]
            if inner.marker is None or any(inner.marker.evaluate({"extra": extra}) for extra in wanted):
                inner.marker = None
                if canonicalize_name(inner.name) not in found or inner.extras - {""}:
                    waiting.append(inner)
    return found


def lock() -> str:
    """The versions that development takes today."""
    found = needed(("parquet", "postgres", "serve", "test", "dev"))
    return "".join(f"{name}=={found[name].version}\n" for name in sorted(found))  # of this system


def licences() -> str:
    """A table of what partcheck needs to run, with the extras that people install."""
    found = needed(("parquet", "postgres", "serve"))
    rows = [f"| {name} | {_licence(found[name])} |" for name in sorted(found)]
    head = ["# Licences of what partcheck needs to run", "", "Made by `python .ci/pins.py licences --write`, with the"]
    head += ["extras `parquet`, `postgres` and `serve`, on Linux.", ""]
    head += ["| package | licence, as it says itself |", "|---|---|"]
    return "\n".join([*head, *rows]) + "\n"


def _licence(of: metadata.Distribution) -> str:
    said = of.metadata
    if expression := said.get("License-Expression"):
        return str(expression)
    classes = [line.rpartition("::")[2].strip() for line in said.get_all("Classifier") or () if "License ::" in line]
    told = "; ".join(sorted({name for name in classes if name != "OSI Approved"}))
    first = (said.get("License") or "").strip().split("\n")[0]
    return told or first[:60] or "not stated: see its files"


def check() -> list[str]:
    """What is not as the files say, each in a sentence."""
    wrong = []
    if FILES["lowest"].read_text(encoding="utf-8") != lowest():
        wrong.append(".ci/lowest.txt is not made of pyproject.toml: python .ci/pins.py lowest --write")
    pins = dict(line.split("==") for line in FILES["lock"].read_text(encoding="utf-8").split())
    for asked in stated(("parquet", "postgres", "serve", "test", "dev")):
        version = pins.get(canonicalize_name(asked.name))
        if version is None or not asked.specifier.contains(version, prereleases=True):
            wrong.append(f".ci/lock.txt has no version of {asked.name} that pyproject.toml allows: write it anew")
    told = dict(re.findall(r"^\| (\S+) \| (.+) \|$", FILES["licences"].read_text(encoding="utf-8"), re.MULTILINE))
    missing = [a.name for a in stated(("parquet", "postgres", "serve")) if canonicalize_name(a.name) not in told]
    wrong += [f".ci/licences.md says nothing of {name}: python .ci/pins.py licences --write" for name in missing]
    for name, found in sorted(
        needed(("parquet", "postgres", "serve")).items()
    ):  # others may change theirs any day: told, not wrong
        if told.get(name) != _licence(found):
            print(f"note: of {name} .ci/licences.md says {told.get(name)}, it says {_licence(found)}")
    return wrong


def main() -> int:
    """Print or write one of the files, or check all of them."""
    what = sys.argv[1] if len(sys.argv) > 1 else ""
    if what == "check":
        wrong = check()
        print("\n".join(wrong) or "lowest versions, lock and licences are as the files say")
        return bool(wrong)
    if what not in FILES:
        print(__doc__)
        return 2
    text = {"lowest": lowest, "lock": lock, "licences": licences}[what]()
    if "--write" in sys.argv:
        FILES[what].write_text(text, encoding="utf-8")
    else:
        print(text, end="")
    return 0


if __name__ == "__main__":
    sys.exit(main())
