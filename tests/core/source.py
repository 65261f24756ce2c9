"""The project's own code as syntax trees, for tests that compare what is written in two places."""

import ast
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("shop", "api", "customer_portal")


@cache
def trees() -> dict[Path, ast.Module]:
    """Return every module of the project, migrations apart, by its path from the root."""
    files = (file for package in PACKAGES for file in sorted((ROOT / package).rglob("*.py")))
    kept = [file for file in files if "migrations" not in file.parts]
    return {file.relative_to(ROOT): ast.parse(file.read_text()) for file in kept}


def room_of(path: Path) -> str:
    """Return the room that a module belongs to: shop/units/actions.py is in units, api/urls.py in api."""
    return path.parts[1].removesuffix(".py") if path.parts[0] == "shop" else path.parts[0]


@cache
def ranks() -> dict[str, int]:
    """Return each room's rank from pyproject.toml: 0 is the lowest; rooms side by side share one. Faces are highest."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    layers = next(contract["layers"] for contract in settings if contract.get("containers") == ["shop"])
    rooms = {room.strip(): rank for rank, layer in enumerate(reversed(layers)) for room in layer.split("|")}
    return rooms | dict.fromkeys(("api", "customer_portal"), len(layers))


def strings(tree: ast.AST) -> set[str]:
    return {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)}


def calls(tree: ast.AST, *names: str) -> Iterator[ast.Call]:
    """Yield the calls of the named functions, also when called as an attribute."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            called = node.func
            name = called.id if isinstance(called, ast.Name) else getattr(called, "attr", "")
            if name in names:
                yield node
