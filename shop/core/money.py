"""Money: integer minor units in storage, Decimal in between, one rounding function.

Minor digits follow ISO 4217, which Babel's CLDR data contradicts for a few currencies (IQD, MGA), so the exceptions
to two digits are listed here from the standard (catalogue TX-14; ISO 4217:2015 table A.1 as published for 2026-01).
"""

from decimal import ROUND_CEILING, ROUND_DOWN, ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal, InvalidOperation
from enum import StrEnum

from babel.numbers import format_currency, get_decimal_symbol, get_group_symbol

from shop.core.reasons import Reason, Refused

_MINOR_DIGITS = {
    **dict.fromkeys(
        "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF".split(),
        0,
    ),
    **dict.fromkeys("BHD IQD JOD KWD LYD OMR TND".split(), 3),
    **dict.fromkeys("CLF UYW".split(), 4),
}
LARGEST_MINOR = 10**12


class Rounding(StrEnum):
    """Named ways to round a tie or a remainder."""

    HALF_UP = "half_up"
    HALF_EVEN = "half_even"
    DOWN = "down"
    UP = "up"


_MODES = {
    Rounding.HALF_UP: ROUND_HALF_UP,
    Rounding.HALF_EVEN: ROUND_HALF_EVEN,
    Rounding.DOWN: ROUND_DOWN,
    Rounding.UP: ROUND_CEILING,
}


def minor_digits(currency: str) -> int:
    """Return how many digits follow the point for an ISO 4217 currency code (0, 2, 3 or 4)."""
    return _MINOR_DIGITS.get(currency, 2)


def to_minor(amount: Decimal, currency: str, rounding: Rounding = Rounding.HALF_UP) -> int:
    """Round a Decimal amount in major units once, and return whole minor units."""
    return int((amount * 10 ** minor_digits(currency)).quantize(Decimal(1), rounding=_MODES[rounding]))


def to_major(minor: int, currency: str) -> Decimal:
    """Return minor units as an exact Decimal in major units, with the currency's number of places."""
    return Decimal(minor).scaleb(-minor_digits(currency))


def show(minor: int, currency: str, locale: str = "en_US") -> str:
    """Write an amount as the locale does. The amount is exact already, so that Babel has nothing to round."""
    return format_currency(
        to_major(minor, currency), currency, locale=locale.replace("-", "_"), currency_digits=False,
        decimal_quantization=False,
    )  # fmt: skip


def read(text: str, currency: str, *, label: str, field: str = "", locale: str = "en_US") -> int:
    """Read an amount that somebody typed, and return minor units.

    Takes the locale's own separators and a plain point. Raises Refused (`not_a_number`, `negative_money`,
    `out_of_range`) naming the field; more digits than the currency has are refused, never rounded away.
    """
    locale = locale.replace("-", "_")
    cleaned = text.strip().replace("\u00a0", "").replace("\u202f", "").replace(" ", "")
    symbol = get_decimal_symbol(locale)
    if symbol != "." and symbol in cleaned:
        cleaned = cleaned.replace(get_group_symbol(locale), "").replace(symbol, ".")
    elif symbol == ".":
        cleaned = cleaned.replace(",", "") if "." in cleaned or cleaned.count(",") > 1 else cleaned.replace(",", ".")
    try:
        amount = Decimal(cleaned)
        minor = amount.scaleb(minor_digits(currency))
        whole = int(minor)
    except (InvalidOperation, ValueError, OverflowError):
        raise Refused(Reason("not_a_number", {"label": label, "given": text[:40]}, field)) from None
    if whole != minor:
        raise Refused(Reason("not_a_number", {"label": label, "given": text[:40]}, field))
    return checked(whole, label=label, field=field)


def checked(minor: int, *, label: str, field: str = "") -> int:
    """Return minor units that are neither negative nor absurd, or raise Refused naming the field."""
    if minor < 0:
        raise Refused(Reason("negative_money", {"label": label}, field))
    if minor > LARGEST_MINOR:
        raise Refused(Reason("out_of_range", {"label": label, "low": 0, "high": LARGEST_MINOR}, field))
    return minor
