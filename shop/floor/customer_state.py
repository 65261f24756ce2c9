"""How far the stories behind a customer's page have come, in one small query: the same figures, the same page."""

from typing import Any

from django.db.models import OuterRef, Q, Subquery, UUIDField, Value

from shop.core.models import TrailEntry
from shop.core.profile import HISTORY
from shop.units import links
from shop.units.models import CustomerLink, Unit


def state_behind(token: str) -> str:
    """Return the units that a link's secret opens and the last row of each one's story, its customer's and the shop's.

    Every change writes such a row in its own transaction, under the lock that numbers the rows of a story without a
    gap; so two equal answers mean that nothing was changed between them. Empty for a link that opens nothing.
    """
    link = CustomerLink.objects.filter(token_hash=links.hash_of(token), revoked_at=None)
    own = Subquery(link.values("unit_id")[:1], output_field=UUIDField())
    customer = Subquery(link.values("unit__customer_id")[:1])
    found = Unit.objects.filter(Q(pk=own) | Q(customer_id=customer)).order_by("number")
    shops, customers, units = Value(HISTORY.id, UUIDField()), OuterRef("customer_id"), OuterRef("pk")
    rows = list(found.values_list("number", *map(_last_of, (units, customers, shops))))
    return repr(rows) if rows else ""


def _last_of(subject: Any) -> Subquery:
    return Subquery(TrailEntry.objects.filter(subject_id=subject).order_by("-seq").values("seq")[:1])
