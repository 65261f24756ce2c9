"""What the staff's and the customer's forms for a quote's answer have in common."""

from dataclasses import dataclass
from uuid import UUID

from django.http import QueryDict

from shop.core.reasons import Refused
from shop.quotes.shown import read_taken


@dataclass(frozen=True, slots=True)
class Ticked:
    """What stands ticked on a form that is not answered yet, and the hash of what the form showed."""

    shown_sha256: str
    line_ids: frozenset[UUID]


def taken_values(post: QueryDict) -> list[str]:
    """Return what a form says was taken: ticks are called `taken`, each group of radio buttons `taken-1` and so on."""
    return [value for name in post if name.partition("-")[0] == "taken" for value in post.getlist(name)]


def ticked(post: QueryDict) -> Ticked | None:
    """Return what stands ticked on the form for a quote's answer, or None for another form and for what is no id."""
    try:
        return Ticked(post.get("shown", ""), read_taken(taken_values(post))) if "shown" in post else None
    except Refused:
        return None
