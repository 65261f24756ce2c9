"""Every refusal has a sentence in its own room or a lower one, with its facts; and no sentence is left over."""

import ast
import string
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

import pytest

from shop.core.reasons import Reason, known_codes, sentence, teach
from tests.core.source import calls, ranks, room_of, strings, trees


def _taught(room: str) -> dict[str, str]:
    """Return the sentences of one room, untranslated."""
    package = f"shop.{room}" if Path("shop", room, "__init__.py") in trees() else room
    if not find_spec(f"{package}.sentences"):
        return {}
    return {code: str(text) for code, text in import_module(f"{package}.sentences").SENTENCES.items()}


ROOMS = sorted({room_of(path) for path in trees() if path.name == "apps.py"})
RANKS = ranks()


def _in_reach(room: str) -> dict[str, str]:
    """Return the sentences of a room and of those below it; modules outside the rooms reach the core's."""
    lower = [other for other in ROOMS if RANKS[other] < RANKS.get(room, 1)]
    return {code: text for other in [*lower, room] for code, text in _taught(other).items()}


def _reasons() -> list[tuple[Path, ast.Module, ast.Call]]:
    return [(path, tree, call) for path, tree in trees().items() for call in calls(tree, "Reason")]


def _code(call: ast.Call) -> str | None:
    given = call.args[0] if call.args else next((k.value for k in call.keywords if k.arg == "code"), None)
    return str(given.value) if isinstance(given, ast.Constant) else None


def _facts(tree: ast.Module, call: ast.Call) -> set[str] | None:
    """Return the names of the facts handed over, or None where that is not to be seen without running."""
    given = call.args[1] if len(call.args) > 1 else next((k.value for k in call.keywords if k.arg == "facts"), None)
    if given is None:
        return set()
    if isinstance(given, ast.Name):
        given = _only_value_of(tree, call, given.id)
    if not isinstance(given, ast.Dict):
        return None
    keys = [key.value if isinstance(key, ast.Constant) else None for key in given.keys]
    return None if None in keys else {str(key) for key in keys}


def _only_value_of(tree: ast.Module, call: ast.Call, name: str) -> ast.expr | None:
    """Return what a name is set to in the function around the call, when it is set once."""
    around = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef) and call in list(ast.walk(node))]
    values = [
        node.value
        for function in around[-1:]
        for node in ast.walk(function)
        if isinstance(node, ast.Assign | ast.AnnAssign | ast.AugAssign)
        for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
        if isinstance(target, ast.Name) and target.id == name
    ]
    return values[0] if len(values) == 1 else None


def _placeholders(text: str) -> set[str]:
    return {name.split(".")[0].split("[")[0] for _text, name, _spec, _conv in string.Formatter().parse(text) if name}


def test_every_reason_has_a_sentence_in_its_own_room_or_a_lower_one() -> None:
    found = [(str(path), code) for path, _tree, call in _reasons() if (code := _code(call))]
    assert len(found) > 30
    assert [(path, code) for path, code in found if code not in _in_reach(room_of(Path(path)))] == []


def test_every_sentence_gets_the_facts_that_it_names() -> None:
    wanting = []
    for path, tree, call in _reasons():
        text = _in_reach(room_of(path)).get(_code(call) or "")
        given = _facts(tree, call)
        if text is not None and given is not None and (missing := _placeholders(text) - given):
            wanting.append((f"{path}:{call.lineno}", sorted(missing)))
    assert wanting == []


@pytest.mark.parametrize("room", ROOMS)
def test_no_sentence_is_left_over(room: str) -> None:
    """A code counts as used when it is written in its room or in one above."""
    above = [
        tree
        for path, tree in trees().items()
        if path.name != "sentences.py" and (room_of(path) == room or RANKS.get(room_of(path), 0) > RANKS[room])
    ]
    used = {text for tree in above for text in strings(tree)}
    assert set(_taught(room)) - used == set()


@pytest.mark.parametrize("room", ROOMS)
def test_every_sentence_ends_like_one_and_is_taught(room: str) -> None:
    sentences = _taught(room)
    assert [code for code, text in sentences.items() if text.strip()[-1:] not in {".", "?", "!"}] == []
    assert set(sentences) <= known_codes()


def test_it_words_a_reason_with_its_facts() -> None:
    assert sentence(Reason("blank", {"label": "Name"})) == "Name is empty. Fill it in."


def test_it_refuses_two_wordings_of_one_reason() -> None:
    with pytest.raises(ValueError, match="blank"):
        teach({"blank": "Another wording."})
