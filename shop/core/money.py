"""Money: integer minor units in storage, Decimal in between, one rounding function.

Minor digits follow ISO 4217, which Babel's CLDR data contradicts for a few currencies (IQD, MGA), so the exceptions
to two digits are listed here from the standard (catalogue TX-14; ISO 4217:2015 table A.1 as published for 2026-01).
"""

import copy
import re
from collections.abc import Sequence
from decimal import ROUND_CEILING, ROUND_DOWN, ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from enum import StrEnum

from babel import Locale
from babel.numbers import get_decimal_symbol, get_group_symbol

from shop.core.reasons import Reason, Refused

_DIGITS_OTHER_THAN_TWO = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
    3: "BHD IQD JOD KWD LYD OMR TND",
    4: "CLF UYW",
}
_MINOR_DIGITS = {code: digits for digits, codes in _DIGITS_OTHER_THAN_TWO.items() for code in codes.split()}
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
    return _rounded(amount, minor_digits(currency), rounding)


def _rounded(amount: Decimal, places: int, rounding: Rounding) -> int:
    # Quantized before it is scaled: a product would be rounded to the context's 28 digits first, and so twice.
    return int(amount.quantize(Decimal(1).scaleb(-places), rounding=_MODES[rounding]).scaleb(places))


def to_step(minor: Decimal, step_minor: int = 1, rounding: Rounding = Rounding.HALF_UP) -> int:
    """Round a Decimal amount in minor units once, to whole steps of step_minor, and return minor units.

    Raises ValueError for a step below 1.
    """
    if step_minor < 1:
        raise ValueError(f"{step_minor} minor units are no step to round to")
    return _rounded(minor / step_minor, 0, rounding) * step_minor


def share(minor: int, millipercent: int, rounding: Rounding = Rounding.HALF_UP) -> int:
    """Return a percentage of an amount, in minor units, rounded once. 10 % is 10,000 millipercent."""
    return to_step(exact_share(minor, millipercent), 1, rounding)


def exact_share(minor: int, millipercent: int) -> Decimal:
    """Return a percentage of an amount in minor units, unrounded."""
    return Decimal(minor) * Decimal(millipercent).scaleb(-5)


def allocate(minor: int, weights: Sequence[int]) -> list[int]:
    """Divide an amount in proportion to weights so that the parts add up to it, in the order of the weights.

    Largest remainder: each part is rounded down, and the units left over go to the largest remainders, among equal
    ones to the larger weight, then to the earlier. A part is never above its weight when the amount is not above their
    sum. Raises ValueError for an amount or a weight below zero, and for an amount without any weight.
    """
    whole = sum(weights)
    if minor < 0 or min(weights, default=0) < 0 or (minor and not whole):
        raise ValueError(f"cannot divide {minor} by the weights {list(weights)}")
    if not minor:
        return [0] * len(weights)
    parts, rests = map(list, zip(*(divmod(minor * weight, whole) for weight in weights), strict=True))
    neediest = sorted(range(len(weights)), key=lambda at: (-rests[at], -weights[at], at))
    for at in neediest[: minor - sum(parts)]:
        parts[at] += 1
    return parts


def to_major(minor: int, currency: str) -> Decimal:
    """Return minor units as an exact Decimal in major units, with the currency's number of places."""
    return Decimal(minor).scaleb(-minor_digits(currency))


def show(minor: int, currency: str, locale: str = "en_US", *, accounting: bool = False) -> str:
    """Write an amount as the locale does, with as many digits after the point as ISO 4217 gives the currency.

    accounting writes amounts below zero as the locale's bookkeepers do, in English in brackets.
    """
    where = Locale.parse(locale.replace("-", "_"))
    pattern = copy.copy(where.currency_formats["accounting" if accounting else "standard"])
    # The locale's own pattern has two digits for every currency, and Babel's table of currencies is not ISO 4217's.
    pattern.frac_prec = (minor_digits(currency),) * 2
    return str(pattern.apply(to_major(minor, currency), where, currency=currency, currency_digits=False))


def show_rate(millipercent: int, locale: str = "en_US") -> str:
    """Write a rate in per cent as the locale does, with as many decimals as it needs, at most three: 8875 is 8.875%."""
    where = Locale.parse(locale.replace("-", "_"))
    pattern = copy.copy(where.percent_formats[None])
    # Left alone, the locale's pattern rounds to whole per cents.
    pattern.frac_prec = (0, 3)
    return str(pattern.apply(Decimal(millipercent).scaleb(-5), where))


def read(text: str, currency: str, *, label: str, field: str = "", locale: str = "en_US") -> int:
    """Read an amount that somebody typed, and return minor units.

    Takes the locale's own separators, and a plain point or comma before the digits after the point. Raises Refused
    (`not_a_number`, `negative_money`, `out_of_range`) naming the field; more digits than the currency has are
    refused, never rounded away.
    """
    plain = _plain_number(text, locale.replace("-", "_"))
    minor = None if plain is None else plain.scaleb(minor_digits(currency))
    if minor is None or minor != minor.to_integral_value():
        raise Refused(Reason("not_a_number", {"label": label, "given": text[:40]}, field))
    return checked(int(minor), label=label, field=field)


def _plain_number(text: str, locale: str) -> Decimal | None:
    """Return the number that text writes in a locale, or None when it writes none."""
    bare = "".join(text.split()).replace("\u2212", "-").replace("\u2019", "'")
    group = get_group_symbol(locale).replace("\u2019", "'")
    grouped = rf"[+-]?[1-9]\d{{0,2}}(?:{re.escape(group)}\d{{2,3}})*{re.escape(group)}\d{{3}}"
    if group.strip() and re.fullmatch(rf"{grouped}(?:{re.escape(get_decimal_symbol(locale))}\d+)?", bare):
        bare = bare.replace(group, "")
    bare = bare.replace(get_decimal_symbol(locale), ".") if "." not in bare else bare
    bare = bare.replace(",", ".") if "." not in bare else bare
    # Twenty digits are more than any amount has, and few enough that every later step is exact and quick.
    return Decimal(bare) if len(bare) <= 20 and re.fullmatch(r"[+-]?(?:\d+\.?\d*|\.\d+)", bare) else None


def checked(minor: int, *, label: str, field: str = "") -> int:
    """Return minor units that are neither negative nor absurd, or raise Refused naming the field."""
    if minor < 0:
        raise Refused(Reason("negative_money", {"label": label}, field))
    if minor > LARGEST_MINOR:
        raise Refused(Reason("out_of_range", {"label": label, "low": 0, "high": LARGEST_MINOR}, field))
    return minor
