"""Three-point estimates of hands-on work. Pure.

Source: the beta approximation of PERT, mean (a + 4m + b) / 6 and standard deviation (b − a) / 6 (Malcolm, Roseboom,
Clark and Fazar, Application of a Technique for Research and Development Program Evaluation, Operations Research 7,
1959).
"""

from dataclasses import dataclass
from math import log
from statistics import NormalDist

# Low and high are read as what is undercut, and overrun, one time in twenty (common practice).
_BETWEEN_LOW_AND_HIGH = 2 * NormalDist().inv_cdf(0.95)


@dataclass(frozen=True, slots=True)
class Estimate:
    """Hands-on minutes of one job: if all goes well, most likely, if much goes wrong. 0 ≤ low ≤ likely ≤ high."""

    low_min: float
    likely_min: float
    high_min: float

    def __post_init__(self) -> None:
        if not 0 <= self.low_min <= self.likely_min <= self.high_min:
            raise ValueError("an estimate needs 0 ≤ low ≤ likely ≤ high")

    @property
    def mean_min(self) -> float:
        """Return the expected minutes, (a + 4m + b) / 6."""
        return (self.low_min + 4 * self.likely_min + self.high_min) / 6

    @property
    def sd_min(self) -> float:
        """Return the standard deviation in minutes, (b − a) / 6."""
        return (self.high_min - self.low_min) / 6

    @property
    def log_width(self) -> float:
        """Return the standard deviation of the logarithm, with low and high as the 5th and 95th percentile.

        Less than a minute counts as a minute.
        """
        return log(max(1.0, self.high_min) / max(1.0, self.low_min)) / _BETWEEN_LOW_AND_HIGH
