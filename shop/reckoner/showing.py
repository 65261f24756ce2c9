"""Numbers as people read them: a few significant digits, an SI prefix, the reader's decimal sign."""

import math

from babel import Locale, UnknownLocaleError
from babel.numbers import format_decimal
from django.utils.translation import get_language

_PREFIXES = {-12: "p", -9: "n", -6: "µ", -3: "m", 0: "", 3: "k", 6: "M", 9: "G", 12: "T"}
# Beyond these a number is written with a power of ten.
_SMALLEST, _LARGEST = 1e-9, 1e15
_PREFIXED = frozenset({"F", "Ω", "V", "A", "W", "s", "Hz"})


def number(value: float, digits: int = 4) -> str:
    """Return a number with so many significant digits at most, written as the reader's language writes it."""
    if not math.isfinite(value):
        return "–"
    if value and not _SMALLEST <= abs(value) < _LARGEST:
        mantissa, power = f"{value:.{digits - 1}e}".split("e")
        return f"{number(float(mantissa), digits)} × 10^{int(power)}"
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(value)))) if value else 0
    pattern = "#,##0." + "#" * decimals if decimals else "#,##0"
    return str(format_decimal(round(value, decimals), format=pattern, locale=_locale()))


def shown(value: float | str | bool, unit: str = "", digits: int = 4) -> str:
    """Return a figure in an SI unit with the prefix that leaves 1 to 999 before the point: 4.7e-6 F is 4.7 µF."""
    if isinstance(value, str):
        return f"{value} {unit}".strip()
    if unit not in _PREFIXED or value == 0 or not math.isfinite(value):
        return f"{number(value, digits)} {unit}".strip()
    power = 3 * math.floor(int(f"{value:.{digits - 1}e}".split("e")[1]) / 3)
    power = max(min(_PREFIXES), min(max(_PREFIXES), power))
    if unit == "F" and power == -3:
        power = -6  # the trade writes 4700 µF, not 4.7 mF
    return f"{number(value / 10.0**power, digits)} {_PREFIXES[power]}{unit}"


def _locale() -> str:
    language = (get_language() or "en").replace("-", "_")
    try:
        return str(Locale.parse(language))
    except (UnknownLocaleError, ValueError):
        return "en"
