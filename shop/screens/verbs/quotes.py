"""Reading a quote's forms: one named operation each."""

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.http import QueryDict

from shop.quotes.models import QuoteLine
from shop.quotes.operations import (
    AddLine,
    ChangeLine,
    MoveLine,
    OfferService,
    Operation,
    RemoveLine,
    SetNote,
    SetReason,
    UseTemplate,
)
from shop.screens.http import no_such_act
from shop.screens.verbs.common import given_figure, given_money, given_number, needed_uuid

_MILLI = 1000


def operation(verb: str, post: QueryDict) -> Operation:
    """Read one named operation from its form. Raises Refused naming the field, Missing for an unknown verb."""
    if verb not in _READERS:
        raise no_such_act(verb)
    return _READERS[verb](post)


def _line(post: QueryDict) -> dict[str, Any]:
    """Return what the form says of a line. A form has all fields of a line or leaves out a whole fold."""
    given: dict[str, Any] = {
        "words": post.get("words", ""),
        "quantity": given_number(post, "quantity", "Quantity"),
        "unit_minor": given_money(post, "price", "Price of one"),
        "optional": "optional" in post,
    }
    given |= {name: post.get(name, "") for name in ("why", "one_of", "needs") if name in post}
    given |= {name: post.get(name, "") for name in ("tax_class", "source") if post.get(name)}
    given |= {f"{name}_millipercent": percent(post, name) for name in ("discount", "percent") if name in post}
    if "one_of" in post:
        given |= {name: name in post for name in ("may_skip", "taken")}
    if post.get("donor", "").strip():
        given["donor_number"] = given_number(post, "donor", "Unit that the part comes from")
    return given


def _line_id(post: QueryDict) -> UUID:
    return needed_uuid(post, "line", "Line")


_READERS: dict[str, Callable[[QueryDict], Operation]] = {
    "add": lambda post: AddLine(**(_line(post) | {"kind": post.get("kind", ""), "words": post.get("words", "")})),
    "change": lambda post: ChangeLine(line_id=_line_id(post), **_line(post)),
    "remove": lambda post: RemoveLine(line_id=_line_id(post)),
    "move": lambda post: MoveLine(line_id=_line_id(post), position=given_number(post, "position", "Place")),
    "note": lambda post: SetNote(text=post.get("note", "")),
    "reason": lambda post: SetReason(text=post.get("why_changed", "")),
    "offer": lambda post: OfferService(service_id=needed_uuid(post, "service", "Service")),
    "template": lambda post: UseTemplate(template_id=needed_uuid(post, "template", "Template")),
}


def percent(post: QueryDict, name: str) -> int:
    """Return a typed percentage in millipercent, rounded to three decimals; an empty field is nothing."""
    figure = given_figure(post, name, "Percent")
    return 0 if figure is None or not figure.is_finite() else round(figure * _MILLI)


CHOICES = {
    "kinds": QuoteLine.Kind.choices,
    "tax_classes": QuoteLine.TaxClass.choices,
    "sources": QuoteLine.Source.choices,
}
