"""What can be called from a module, found by following names through imports."""

import ast
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

from tests.core.source import trees

# A module and a name that is defined at its top.
Defined = tuple[Path, str]


def _path_of(module: str) -> Path | None:
    """Return the file of a module of the project, or None for any other."""
    plain = Path(*module.split("."))
    return next((path for path in (plain.with_suffix(".py"), plain / "__init__.py") if path in trees()), None)


@cache
def _defined(path: Path) -> dict[str, list[ast.AST]]:
    """Return what a module defines at its top, by name: functions, classes, and what names are set to."""
    found: dict[str, list[ast.AST]] = {}
    for node in trees()[path].body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            found.setdefault(node.name, []).append(node)
        elif isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            for target in node.targets if isinstance(node, ast.Assign) else [node.target]:
                for name in ast.walk(target):
                    if isinstance(name, ast.Name):
                        found.setdefault(name.id, []).append(node.value)
    return found


@cache
def _imported(path: Path) -> dict[str, tuple[Path, str]]:
    """Return where each imported name of the project comes from: the module, and the name in it, "" for itself."""
    found = {}
    for node in ast.walk(trees()[path]):
        if isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                as_module, source = _path_of(f"{node.module}.{alias.name}"), _path_of(node.module)
                if as_module:
                    found[alias.asname or alias.name] = (as_module, "")
                elif source:
                    found[alias.asname or alias.name] = (source, alias.name)
    return found


def _meant(path: Path, node: ast.AST) -> Iterator[Defined]:
    """Yield what the names inside a node stand for, as far as the project defines it."""
    imported = _imported(path)
    for part in ast.walk(node):
        if isinstance(part, ast.Name):
            source, name = imported.get(part.id, (path, part.id))
            if name:
                yield source, name
        elif isinstance(part, ast.Attribute) and isinstance(part.value, ast.Name):
            source, name = imported.get(part.value.id, (path, "-"))
            if not name:
                yield source, part.attr


def _resolved(defined: Defined) -> Defined:
    """Follow a name that a module only hands on to where it is defined."""
    path, name = defined
    while name not in _defined(path) and name in _imported(path) and _imported(path)[name][1]:
        path, name = _imported(path)[name]
    return path, name


def reached(starts: Iterable[Path]) -> list[ast.AST]:
    """Return the top definitions that can be reached from everything in these modules, these among them."""
    waiting = [(path, name) for path in starts for name in _defined(path)]
    seen = set(waiting)
    nodes = []
    while waiting:
        path, name = waiting.pop()
        for node in _defined(path).get(name, ()):
            nodes.append(node)
            new = {_resolved(meant) for meant in _meant(path, node)} - seen
            seen |= new
            waiting += new
    return nodes
