"""Several readings of one mark, in words."""

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.engineering.digit_codes import Convention, DigitReading
from shop.engineering.tolerances import Tolerance
from shop.reckoner.showing import number, shown

CONVENTIONS = {
    Convention.OHMS: gettext_lazy("a resistor, counted in ohms"),
    Convention.PICOFARADS: gettext_lazy("a ceramic or film capacitor, counted in picofarads"),
    Convention.PART_NUMBER_PF: gettext_lazy("an electrolytic whose maker counts in picofarads"),
    Convention.PART_NUMBER_UF: gettext_lazy("an electrolytic whose maker counts in microfarads"),
    Convention.EIA_96: gettext_lazy("a 1 % resistor with an EIA-96 mark"),
}


def reading_words(readings: Any) -> str:
    """Return readings of a mark as one line of text."""
    return "; ".join(_one(reading) for reading in readings or ())


def digit_words(reading: DigitReading) -> str:
    """Return one reading of a digit code: the value, and as what it was read."""
    unit = "Ω" if reading.convention in (Convention.OHMS, Convention.EIA_96) else "F"
    return f"{shown(reading.value, unit)} ({CONVENTIONS[reading.convention]})"


def tolerance_words(tolerance: Tolerance) -> str:
    """Return a tolerance in words."""
    if tolerance.farads is not None:
        words = f"± {shown(tolerance.farads, 'F')}"
    elif tolerance.below_percent == tolerance.above_percent:
        words = f"± {number(tolerance.above_percent)} %"
    else:
        words = f"−{number(tolerance.below_percent)} % +{number(tolerance.above_percent)} %"
    return words + (" " + _("(from memory)") if tolerance.from_memory else "")


def _one(reading: object) -> str:
    if isinstance(reading, DigitReading):
        return digit_words(reading)
    return tolerance_words(reading) if isinstance(reading, Tolerance) else str(reading)
