"""Seals of the trail: a running digest over its rows, so that rows cut off the end of a chain are missed as well.

A chain alone shows an edit, a swap and a gap, but not that its newest rows are gone. A seal counts and digests every
row since the seal before it. Rows of the last minutes wait for the next one: two transactions may take their numbers
in one order and end in the other, and no action lasts that long.
"""

import hashlib
from collections.abc import Iterable
from datetime import timedelta

from django.db import transaction
from django.db.models import Max

from shop.core import clock
from shop.core.models import ShopProfile, TrailEntry, TrailSeal

SETTLED = timedelta(minutes=5)


def seal() -> bool:
    """Seal the settled rows that no seal covers yet. Returns whether there were any; twice at once is once."""
    newest = TrailEntry.objects.filter(recorded_at__lte=clock.now() - SETTLED).aggregate(newest=Max("id"))["newest"]
    with transaction.atomic():
        # One seal at a time: a second one that did not see the first would not stand on it.
        ShopProfile.objects.select_for_update().first()
        last = TrailSeal.objects.order_by("-up_to").first()
        if newest is None or (last and newest <= last.up_to):
            return False
        rows, digest = _digest(last.digest if last else "", last.up_to if last else 0, newest)
        TrailSeal.objects.create(up_to=newest, rows=rows, digest=digest)
    return True


def broken_seal() -> TrailSeal | None:
    """Return the first seal that the stored rows do not bear out, or None. Reads the number and hash of every row."""
    before, up_to = "", 0
    for each in TrailSeal.objects.order_by("up_to"):
        if _digest(before, up_to, each.up_to) != (each.rows, each.digest):
            return each
        before, up_to = each.digest, each.up_to
    return None


def _digest(before: str, after: int, up_to: int) -> tuple[int, str]:
    """Count the rows with numbers above after and not above up_to, and digest them on top of the seal before."""
    hashes: Iterable[str] = (
        TrailEntry.objects.filter(id__gt=after, id__lte=up_to).order_by("id").values_list("entry_hash", flat=True)
    )
    digest, rows = hashlib.sha256(before.encode()), 0
    for entry_hash in hashes:
        digest.update(entry_hash.encode())
        rows += 1
    return rows, digest.hexdigest()
