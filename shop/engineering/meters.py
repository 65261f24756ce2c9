"""How well a reading is known: a meter's accuracy, several contributions put together, and readings that were repeated.

Sources: JCGM 100 (GUM); the form "% of reading + digits" as makers state it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import BadInput, Remark, in_range

_LARGEST = 1e12


@dataclass(frozen=True, slots=True)
class MeterError:
    """How far a reading may be off, in its own unit: half width, its standard uncertainty, and expanded (k = 2)."""

    half_width: float
    standard: float
    expanded: float
    low: float
    high: float
    remarks: tuple[Remark, ...] = ()


def meter_error(reading: float, percent_of_reading: float, digits: float, resolution: float) -> MeterError:
    """Return how far a reading may be off by "± (percent of reading + digits)".

    resolution is what the last digit counts in the range in use; percent 0 to 50, digits 0 to 1000. The half width is
    taken as rectangular, so the standard uncertainty is a / √3 (GUM 4.3.7). The interval holds within the meter's
    stated temperature and time since calibration. Raises BadInput.
    """
    in_range("reading", reading, "", -_LARGEST, _LARGEST)
    in_range("percent_of_reading", percent_of_reading, "%", 0, 50)
    in_range("digits", digits, "", 0, 1000)
    in_range("resolution", resolution, "", 0, _LARGEST, low_open=True)
    half = abs(reading) * percent_of_reading / 100 + digits * resolution
    standard = half / math.sqrt(3)
    small = abs(reading) < 10 * digits * resolution
    remarks = (Remark("digits_dominate"),) if small and digits else ()
    return MeterError(half, standard, 2 * standard, reading - half, reading + half, remarks)


class Shape(StrEnum):
    """How a contribution is spread over its half width."""

    RECTANGULAR = "rectangular"
    TRIANGULAR = "triangular"
    NORMAL = "normal"

    @property
    def divisor(self) -> float:
        """Return what turns the half width into a standard uncertainty; a normal one is stated with k = 2."""
        return {"rectangular": math.sqrt(3), "triangular": math.sqrt(6), "normal": 2.0}[self.value]


def standard_uncertainty(half_width: float, shape: Shape) -> float:
    """Return the standard uncertainty of a half width, in its own unit. Source: GUM 4.3. Raises BadInput."""
    return in_range("half_width", half_width, "", 0, _LARGEST) / shape.divisor


@dataclass(frozen=True, slots=True)
class Repeated:
    """Readings that were repeated: how many, mean, standard deviation, and the standard uncertainty of the mean."""

    count: int
    mean: float
    deviation: float
    standard: float


def repeated(readings: Sequence[float]) -> Repeated:
    """Return mean and spread of 2 to 10 000 readings, kept exact by summing without loss. Source: GUM 4.2.

    Raises BadInput.
    """
    in_range("readings", len(readings), "", 2, 10_000)
    for each in readings:
        in_range("readings", each, "", -_LARGEST, _LARGEST)
    count = len(readings)
    mean = math.fsum(readings) / count
    # Twice round: the mean's own rounding is taken out again, which a one-pass formula cannot.
    mean += math.fsum(each - mean for each in readings) / count
    deviation = math.sqrt(math.fsum((each - mean) ** 2 for each in readings) / (count - 1))
    return Repeated(count, mean, deviation, deviation / math.sqrt(count))


@dataclass(frozen=True, slots=True)
class Part:
    """One contribution: its standard uncertainty times its sensitivity, and degrees of freedom (inf: known well)."""

    standard: float
    freedom: float = math.inf


@dataclass(frozen=True, slots=True)
class Together:
    """Contributions together: standard uncertainty, effective degrees of freedom, factor and expanded uncertainty."""

    standard: float
    freedom: float
    factor: float
    expanded: float


def together(parts: Sequence[Part], coverage: float = 0.95) -> Together:
    """Return 1 to 100 independent contributions put together, and expanded to a coverage of 0.5 to 0.999.

    Root of the sum of squares; degrees of freedom by Welch–Satterthwaite, cut down to a whole number; the factor is
    Student's. Source: GUM 5.1.2, G.4 and G.6.4. Raises BadInput.
    """
    in_range("parts", len(parts), "", 1, 100)
    in_range("coverage", coverage, "", 0.5, 0.999)
    for part in parts:
        in_range("standard", part.standard, "", 0, _LARGEST)
        if not part.freedom >= 1:
            raise BadInput("out_of_range", "freedom", value=part.freedom, low=1, high=None, unit="")
    standard = math.hypot(*(part.standard for part in parts))
    shares = math.fsum((part.standard / standard) ** 4 / part.freedom for part in parts) if standard else 0.0
    freedom = 1 / shares if shares else math.inf
    factor = student_factor(coverage, math.floor(freedom + 1e-9) if math.isfinite(freedom) else math.inf)
    return Together(standard, freedom, factor, factor * standard)


def student_factor(coverage: float, freedom: float) -> float:
    """Return Student's factor for a two-sided coverage (0.5 to 0.999) and degrees of freedom of 1 or more.

    By bisection on the distribution, to about 1e-10. Raises BadInput.
    """
    in_range("coverage", coverage, "", 0.5, 0.999)
    if not freedom >= 1:
        raise BadInput("out_of_range", "freedom", value=freedom, low=1, high=None, unit="")
    low, high = 0.0, 1000.0
    for _step in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if _two_sided(middle, freedom) < coverage else (low, middle)
    return (low + high) / 2


def _two_sided(t: float, freedom: float) -> float:
    """Return the share of Student's distribution between −t and t."""
    if freedom > 1e6:
        return math.erf(t / math.sqrt(2))
    return 1 - incomplete_beta(freedom / 2, 0.5, freedom / (freedom + t * t))


def incomplete_beta(a: float, b: float, x: float) -> float:
    """Return the regularised incomplete beta function, by its continued fraction (Abramowitz and Stegun 26.5.8)."""
    if x <= 0 or x >= 1:
        return 0.0 if x <= 0 else 1.0
    if x > (a + 1) / (a + b + 2):
        return 1 - incomplete_beta(b, a, 1 - x)
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )  # fmt: skip
    return front * _fraction(a, b, x) / a


def _fraction(a: float, b: float, x: float) -> float:
    tiny = 1e-300
    c, d = 1.0, 1 / max(tiny, 1 - (a + b) * x / (a + 1))
    result = d
    for m in range(1, 300):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for term in (even, odd):
            d = 1 / (1 + term * d or tiny)
            c = 1 + term / c or tiny
            result *= c * d
        if abs(c * d - 1) < 1e-14:
            break
    return result
