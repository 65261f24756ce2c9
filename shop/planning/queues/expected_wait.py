"""How long a unit waits for hands, from what came lately and how long it was worked on. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from shop.planning.queues.queueing import allen_cunneen_wait

_LEAST_ARRIVALS, _LEAST_SERVICES = 10, 10


@dataclass(frozen=True, slots=True)
class ExpectedWait:
    """The long run at the present load: utilisation, and the mean wait in working minutes, None when it grows forever.

    arrival_cv2 and service_cv2 are the variation behind it: variance over mean squared.
    """

    utilisation: float
    wait_min: float | None
    arrival_cv2: float
    service_cv2: float


def expected_wait(
    arrivals: Sequence[datetime], service_min: Sequence[float], working_min: float, technicians: int
) -> ExpectedWait | None:
    """Return the wait before so many technicians, by Allen and Cunneen's approximation.

    arrivals are the moments at which units came in a window, service_min the hands-on minutes of units that are done,
    working_min the working minutes that one technician had in the window. None with fewer than ten of either. Range: a
    load that stays as it is, anybody can do anything; units that only some can do wait longer. Raises ValueError for no
    technicians or no working time.
    """
    if technicians < 1 or not working_min > 0:
        raise ValueError("a wait needs a technician and working time")
    if len(arrivals) < _LEAST_ARRIVALS or len(service_min) < _LEAST_SERVICES:
        return None
    between = np.diff([moment.timestamp() for moment in sorted(arrivals)])
    arrival_cv2, service_cv2, mean = _cv2(between), _cv2(np.asarray(service_min)), float(np.mean(service_min))
    use = len(arrivals) * mean / (working_min * technicians)
    wait = allen_cunneen_wait(use, mean, technicians, arrival_cv2, service_cv2) if use < 1 else None
    return ExpectedWait(use, wait, arrival_cv2, service_cv2)


def _cv2(values: np.ndarray) -> float:
    mean = float(values.mean())
    return float(values.var(ddof=1)) / mean**2 if mean else 0.0
