"""What the property tests ask of a calculation: its answer, or its refusal. Any other failure passes through."""

from collections.abc import Callable
from typing import TypeVar

from shop.engineering.inputs import BadInput

Answer = TypeVar("Answer")


def outcome(ask: Callable[[], Answer]) -> Answer | BadInput:
    try:
        return ask()
    except BadInput as refused:
        return refused
