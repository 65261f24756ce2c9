"""Checks on measured figures, before they are judged or stored."""

from decimal import Decimal

from shop.core.reasons import Reason, Refused

# What the columns hold: twelve digits, four of them behind the point.
LARGEST = Decimal(10**8)
PLACES = 4


def figure(given: Decimal, *, label: str, field: str) -> Decimal:
    """Return a figure that can be stored as it is, or raise Refused naming the field.

    `figure_impossible` for NaN, an infinity or 100,000,000 and more; `figure_too_fine` for more than four decimals,
    which would have to be rounded before it is judged.
    """
    if not given.is_finite() or abs(given) >= LARGEST:
        raise Refused(Reason("figure_impossible", {"label": label, "given": str(given)[:40]}, field))
    if given != round(given, PLACES):
        raise Refused(Reason("figure_too_fine", {"label": label, "given": str(given)[:40], "places": PLACES}, field))
    return given


def uncertainty(given: Decimal | None) -> Decimal | None:
    """Return an expanded uncertainty (k = 2) that is 0 or more, or None when none was stated."""
    if given is None:
        return None
    checked = figure(given, label="Uncertainty", field="uncertainty")
    if checked < 0:
        raise Refused(Reason("uncertainty_negative", {"given": str(given)[:40]}, "uncertainty"))
    return checked


def limits(low: Decimal | None, high: Decimal | None) -> tuple[Decimal | None, Decimal | None]:
    """Return limits that stand the right way round; either may be None. Raises Refused with `limits_crossed`."""
    low = None if low is None else figure(low, label="Lower limit", field="low")
    high = None if high is None else figure(high, label="Upper limit", field="high")
    if low is not None and high is not None and low > high:
        raise Refused(Reason("limits_crossed", {"low": str(low), "high": str(high)}, "low"))
    return low, high
