"""The shop's one profile row."""

from django.db import transaction

from shop.core.actor import Actor, permit
from shop.core.locks import lock, save
from shop.core.models import ShopProfile


def profile() -> ShopProfile:
    """Return the shop's profile, made with defaults at the first call."""
    found, _made = ShopProfile.objects.get_or_create(only=1, defaults={"name": "My workshop"})
    return found


def change_profile(*, actor: Actor, version: int | None = None, **changes: object) -> ShopProfile:
    """Change named fields of the profile. Owner only. Raises Stale for an old version, ValueError for no such field."""
    permit(actor, "core.change_profile")
    profile()
    with transaction.atomic():
        row = lock(ShopProfile, only=1, version=version)
        known = {field.name for field in ShopProfile._meta.fields} - {"only", "version"}
        if unknown := set(changes) - known:
            raise ValueError(f"no such field of the profile: {sorted(unknown)}")
        for name, value in changes.items():
            setattr(row, name, value)
        row.full_clean()
        save(row, *changes)
    return row
