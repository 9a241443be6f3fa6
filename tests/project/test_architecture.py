"""The shape of the package: sizes, imports without a circle, one meaning for each name, maps that name every module."""

import ast
import re
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "partcheck"
LINES, FUNCTION_LINES = 400, 60


@cache
def trees() -> dict[Path, ast.Module]:
    return {path: ast.parse(path.read_text(encoding="utf-8")) for path in sorted(PACKAGE.rglob("*.py"))}


@pytest.fixture(scope="module", autouse=True)
def forgotten() -> Iterator[None]:
    """The trees of a whole package are large, and go with the tests of this file."""
    yield
    trees.cache_clear()


def named(path: Path) -> str:
    """The dotted name of a module."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def where(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def test_no_module_is_long() -> None:
    long = {where(path): path.read_text(encoding="utf-8").count("\n") for path in trees()}
    assert not {name: lines for name, lines in long.items() if lines > LINES}


def test_no_function_is_long() -> None:
    functions = (
        (where(path), node)
        for path, tree in trees().items()
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    )
    assert not [
        (name, node.name)
        for name, node in functions
        if (node.end_lineno or node.lineno) - node.lineno + 1 > FUNCTION_LINES
    ]


# ---- imports


def statements(node: ast.AST) -> Iterator[ast.Import | ast.ImportFrom]:
    """Every import that a running program may do, inside functions too; not those that only a type checker reads."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Import | ast.ImportFrom):
            yield child
        elif isinstance(child, ast.If) and "TYPE_CHECKING" in ast.unparse(child.test):
            for other in child.orelse:
                yield from statements(other)
        else:
            yield from statements(child)


def imported(tree: ast.Module, modules: set[str]) -> set[str]:
    """The modules of the package that a module imports by name."""
    found: set[str] = set()
    for statement in statements(tree):
        if isinstance(statement, ast.Import):
            found |= {alias.name for alias in statement.names}
        elif statement.module is not None and statement.level == 0:
            whole = {f"{statement.module}.{alias.name}" for alias in statement.names}
            found |= (whole & modules) or {statement.module}
            if whole - modules:
                found.add(statement.module)
    return found & modules


def circle(graph: dict[str, set[str]]) -> list[str]:
    """Modules that import each other in a ring, in order; empty where there is none."""
    done: set[str] = set()

    def look(name: str, way: list[str]) -> list[str]:
        if name in way:
            return [*way[way.index(name) :], name]
        if name in done:
            return []
        for other in sorted(graph[name]):
            found = look(other, [*way, name])
            if found:
                return found
        done.add(name)
        return []

    return next((found for name in sorted(graph) if (found := look(name, []))), [])


def test_no_modules_import_each_other_in_a_circle() -> None:
    """Imports inside functions count; that a module's packages are imported before it does not."""
    modules = {named(path) for path in trees()}
    graph = {named(path): imported(tree, modules) - {named(path)} for path, tree in trees().items()}
    assert not circle(graph)


def test_a_circle_is_found() -> None:
    assert circle({"a": {"b"}, "b": {"c"}, "c": {"b"}}) == ["b", "c", "b"]
    assert not circle({"a": {"b", "c"}, "b": {"c"}, "c": set()})
    tree = ast.parse("if TYPE_CHECKING:\n    import a\n\ndef f():\n    from b import c\n")
    assert imported(tree, {"a", "b"}) == {"b"}


# ---- names

MEANS_SEVERAL = {"Answer", "Asked", "Finding", "Requirement", "Row", "Table"}
"""Class names that still mean two or more things. None may come; who makes one mean one thing takes it out."""


def test_a_class_name_means_one_thing() -> None:
    classes: dict[str, set[str]] = defaultdict(set)
    for path, tree in trees().items():
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                classes[node.name].add(where(path))
    several = {name: places for name, places in classes.items() if len(places) > 1}
    assert not {name: places for name, places in several.items() if name not in MEANS_SEVERAL}
    assert not MEANS_SEVERAL - several.keys(), "these mean one thing now: take them out of the list"


# ---- maps


def packages() -> list[Path]:
    """Packages whose docstring is a map of what is in them."""
    known = ((path, ast.parse(path.read_text(encoding="utf-8"))) for path in sorted(PACKAGE.rglob("__init__.py")))
    return [path for path, tree in known if "::" in (ast.get_docstring(tree) or "")]


@pytest.mark.parametrize("path", packages(), ids=where)
def test_the_map_of_a_package_names_everything_in_it_and_nothing_else(path: Path) -> None:
    text = ast.get_docstring(trees()[path]) or ""
    inside = {
        f"{child.name}/" if child.is_dir() else child.name
        for child in path.parent.iterdir()
        if (child.suffix == ".py" or (child.is_dir() and (child / "__init__.py").exists()))
        and child.name != "__init__.py"
    }
    drawn = text[text.index("::") :]
    heads = re.findall(r"^ {2,6}((?:\w+(?:\.py|/)\s+)+)", drawn, re.MULTILINE)
    told = set(re.findall(r"(?<![\w/<>])\w+(?:\.py|/)", drawn))
    assert not inside - told, "modules that the map leaves out"
    assert not {word for head in heads for word in head.split() if not (path.parent / word).exists()}


# ---- formulas


def called(trees_: dict[Path, ast.Module]) -> set[tuple[str, str]]:
    """Functions of ``physics`` that something outside it calls, and what they call: module and name."""
    formulas = PACKAGE / "physics"
    inside = {
        (path.stem, node.name): node
        for path, tree in trees_.items()
        if path.parent == formulas
        for node in tree.body
        if isinstance(node, ast.FunctionDef)
    }

    def uses(tree: ast.AST, whole: ast.Module, home: str) -> set[tuple[str, str]]:
        modules, names = {}, {}
        for node in ast.walk(whole):
            if isinstance(node, ast.ImportFrom) and node.module == "partcheck.physics":
                modules |= {alias.asname or alias.name: alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith("partcheck.physics."):
                module = (node.module or "").rpartition(".")[2]
                names |= {alias.asname or alias.name: (module, alias.name) for alias in node.names}
        found = set()
        for node in ast.walk(tree):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in modules:
                found.add((modules[node.value.id], node.attr))
            elif isinstance(node, ast.Name):
                found.add(names.get(node.id, (home, node.id)))
        return found & inside.keys()

    live: set[tuple[str, str]] = set()
    for path, tree in trees_.items():
        if path.parent != formulas:
            live |= uses(tree, tree, "")
        else:
            rest = ast.Module([node for node in tree.body if not isinstance(node, ast.FunctionDef)], [])
            live |= uses(rest, tree, path.stem)
    todo = list(live)
    while todo:
        module, name = todo.pop()
        for found in uses(inside[module, name], trees_[formulas / f"{module}.py"], module) - live:
            live.add(found)
            todo.append(found)
    return live


def test_every_formula_is_used_by_the_product() -> None:
    formulas = {
        (path.stem, node.name)
        for path, tree in trees().items()
        if path.parent == PACKAGE / "physics"
        for node in tree.body
        if isinstance(node, ast.FunctionDef)
    }
    assert not formulas - called(trees())
