"""Taking a thing out of use: it stays in every row that has it, and nothing new can choose it."""

from typing import Any

from shop.core import clock, trail
from shop.core.actor import Actor
from shop.core.locks import save


def retire(row: Any, actor: Actor, what: str, *, before: str = "") -> None:
    """Set retired_at of a locked row, with one line in its trail. One that is out of use already stays as it is."""
    if row.retired_at is None:
        row.retired_at = clock.now()
        save(row, "retired_at")
        trail.write(row, actor, what, before=before)
