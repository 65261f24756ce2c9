"""What is asked for before work begins. Pure; money in minor units."""

from shop.core.money import share

_MILLIPERCENT = 1000


def deposit_minor(total_minor: int, *, percent: int, from_minor: int) -> int:
    """Return the deposit on a total with tax: a percentage of it, rounded half up; 0 for a total below from_minor.

    It is never above the total; the rest stays open until the bill. Raises ValueError for an amount below zero and for
    a percentage outside 0 to 100.
    """
    if min(total_minor, from_minor) < 0 or not 0 <= percent <= 100:
        raise ValueError(f"not a deposit: {total_minor=} {percent=} {from_minor=}")
    return share(total_minor, percent * _MILLIPERCENT) if total_minor >= from_minor else 0
