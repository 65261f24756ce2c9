"""Reading people and places. Each is one query."""

from django.db.models import QuerySet

from shop.people.models import Customer, DeviceToken, Place, User
from shop.people.search import terms

# Technicians, and owners, who are often the best of them.
AT_BENCHES = (User.Role.TECHNICIAN, User.Role.OWNER)


def staff() -> QuerySet[User]:
    """Return everybody who works here, by name."""
    return User.objects.filter(retired_at=None).order_by("name")


def technicians() -> QuerySet[User]:
    """Return those who work at benches."""
    return staff().filter(role__in=AT_BENCHES)


def by_badge(code: str) -> User | None:
    """Return whose badge carries this code (without check symbol), or None."""
    return staff().filter(badge_code=code).first()


def tokens() -> QuerySet[DeviceToken]:
    """Return the tokens that still work, with whose they are."""
    open_tokens = DeviceToken.objects.filter(revoked_at=None, user__retired_at=None)
    return open_tokens.select_related("user").order_by("user__name", "created_at")


def places() -> QuerySet[Place]:
    """Return the places in use, by kind and name."""
    return Place.objects.filter(retired_at=None).order_by("kind", "name")


def benches() -> QuerySet[Place]:
    """Return the benches in use, by name."""
    return places().filter(kind=Place.Kind.BENCH)


def by_place_code(code: str) -> Place | None:
    """Return the place in use whose label carries this code (without check symbol), or None."""
    return places().filter(code=code).first()


def customers(sought: str = "") -> QuerySet[Customer]:
    """Return customers whose name, e-mail address or phone number has every word sought, by name.

    Case, accents and the punctuation of a phone number do not count, in any script. Nothing sought finds everybody:
    slice what you show.
    """
    found = Customer.objects.filter(retired_at=None).order_by("name", "id")
    for term in terms(sought):
        found = found.filter(search__contains=term)
    return found
