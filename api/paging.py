"""Lists in pages by key: the next page begins after the last row seen, whatever was added or moved meanwhile."""

import base64
import json
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.core.exceptions import ValidationError
from django.db.models import Model, Q, QuerySet
from rest_framework.request import Request

from api.problems import NotAnswerable
from shop.core.reasons import Reason

DEFAULT_LIMIT, LARGEST_LIMIT = 50, 200


@dataclass(frozen=True, slots=True)
class Order:
    """By which column a list is ordered, falling or rising; the id decides between equals, in the same direction."""

    column: str
    falling: bool = False

    def columns(self) -> tuple[str, str]:
        """Return what order_by takes."""
        sign = "-" if self.falling else ""
        return f"{sign}{self.column}", f"{sign}pk"


@dataclass(frozen=True, slots=True)
class Page:
    """Some rows of a list, and the cursor after them when there are more."""

    items: list[Any]
    next: str | None = None


def cut(rows: QuerySet[Any], order: Order, *, after: str, limit: int) -> Page:
    """Return the page after a cursor. Raises NotAnswerable (400) for a cursor that this list cannot have given."""
    if after:
        rows = rows.filter(_beyond(rows.model, order, after))
    found = list(rows.order_by(*order.columns())[: limit + 1])
    more = len(found) > limit
    return Page(found[:limit], _cursor(order, found[limit - 1]) if more else None)


def _cursor(order: Order, last: Model) -> str:
    value = getattr(last, order.column)
    plain = value.isoformat() if hasattr(value, "isoformat") else str(value)
    packed = json.dumps([order.column, plain, str(last.pk)]).encode()
    return base64.urlsafe_b64encode(packed).decode().rstrip("=")


def _beyond(model: type[Model], order: Order, after: str) -> Q:
    """Return the condition for rows behind the cursor."""
    try:
        padded = after + "=" * (-len(after) % 4)
        column, plain, last_pk = json.loads(base64.urlsafe_b64decode(padded.encode("ascii")))
        if column != order.column or "\x00" in plain:
            raise ValueError(column)
        value = model._meta.get_field(column).to_python(plain)  # type: ignore[union-attr]
        pk = model._meta.pk.to_python(last_pk)
    except (ValueError, TypeError, ValidationError, RecursionError):
        raise NotAnswerable(400, Reason("cursor_unknown", field="after")) from None
    side = "lt" if order.falling else "gt"
    return Q(**{f"{column}__{side}": value}) | Q(**{column: value, f"pk__{side}": pk})


def link_to_next(request: Request, cursor: str) -> str:
    """Return the Link header that leads to the next page, with this request's other parameters."""
    kept = [(name, value) for name, value in request.GET.items() if name != "after"]
    address = request.build_absolute_uri(request.path)
    return f'<{address}?{urlencode([*kept, ("after", cursor)])}>; rel="next"'
