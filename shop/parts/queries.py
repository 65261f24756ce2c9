"""Reading parts and suppliers. Each is one query."""

from django.db.models import QuerySet

from shop.parts.models import Part, Supplier


def parts() -> QuerySet[Part]:
    """Return the parts in use with their suppliers, by code."""
    return Part.objects.filter(retired_at=None).select_related("supplier").order_by("code")


def suppliers() -> QuerySet[Supplier]:
    """Return the suppliers in use, by name."""
    return Supplier.objects.filter(retired_at=None).order_by("name")
