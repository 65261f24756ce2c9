"""Drawing how long steps may take, many runs at once, from the history. Pure.

What is drawn depends on the seed and on the names of the unit, the step, the service and the technician, not on what
else is drawn: a unit that is added leaves the dice of all others as they fell, so dates do not wobble for nothing.
"""

from dataclasses import dataclass, field
from hashlib import blake2b
from typing import Any

import numpy as np

from shop.planning.promises.estimates import Estimate
from shop.planning.promises.history import History, Known, Numbers, Rows, stretch

# A step that took longer than anything known has this much of a spread left, and is no sure thing.
_STILL_LEFT = 0.3


@dataclass(slots=True)
class Durations:
    """Draws minutes for a number of runs."""

    history: History
    runs: int
    seed: int
    _stream: np.random.Philox = field(init=False)
    _fresh: dict[str, Any] = field(init=False)
    _dice: np.random.Generator = field(init=False)
    _spread: Numbers = field(init=False)
    _shop: Numbers = field(init=False)
    _kept: dict[tuple[str, str], Numbers] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        self._stream = np.random.Philox(key=self.seed)
        self._fresh = dict(self._stream.state)
        self._dice = np.random.Generator(self._stream)
        dice, freedom = self.dice("spread"), self.history.spread_weight
        self._spread = self.history.spread * np.sqrt(freedom / dice.chisquare(freedom, self.runs))
        self._shop = self._normal(self.history.shop, "shop")

    def dice(self, *names: str) -> np.random.Generator:
        """Return the dice that belong to some names: to be thrown before others are asked for.

        Philox gives every key a stream of its own; setting the key is a tenth of the cost of new dice.
        """
        own = blake2b("\0".join(names).encode(), digest_size=8).digest()
        self._fresh["state"]["key"][:] = self.seed, int.from_bytes(own)
        self._stream.state = self._fresh  # type: ignore[assignment]
        return self._dice

    def hands_on(
        self,
        estimate: Estimate,
        *,
        step: str,
        unit: str,
        service: str,
        technician: str,
        rows: Rows,
        worked_min: float = 0,
    ) -> Numbers:
        """Return the minutes that are left of a step in some of the runs, when so many are worked already.

        step tells apart the steps of one unit. A step that is under way takes longer than what was worked: its total is
        drawn from what lies beyond.
        """
        wide = stretch(estimate, self.history.log_width)
        middle = (self._service(service) + self._technician(technician) + wide * self._unit(unit))[rows]
        scale = (wide * np.sqrt(1 - self.history.unit_share) * self._spread)[rows]
        mean, chances = max(1.0, estimate.mean_min), self.dice("step", unit, step).random(len(rows), dtype=np.float32)
        shape = self.history.shape
        if worked_min <= 0:
            fresh: Numbers = mean * np.exp(middle + scale * shape[(chances * len(shape)).astype(np.intp)])
            return fresh
        beyond = (np.log(worked_min / mean) - middle) / scale
        passed = np.searchsorted(shape, beyond) / len(shape)
        places = ((passed + chances * (1 - passed)) * len(shape)).astype(np.intp)
        known = shape[np.minimum(places, len(shape) - 1)]
        total = np.where(known > beyond, known, beyond + _STILL_LEFT)
        left: Numbers = mean * np.exp(middle + scale * total) - worked_min
        return left

    def unattended(self, estimate: Estimate, *, step: str, unit: str) -> Numbers:
        """Return the minutes of a soak or of drying: within its own estimate, which people's pace does not touch."""
        normal = self.dice("step", unit, step).standard_normal(self.runs)
        width = estimate.log_width
        minutes: Numbers = estimate.mean_min * np.exp(width * normal - width**2 / 2)
        return minutes

    def _service(self, name: str) -> Numbers:
        if ("service", name) not in self._kept:
            prior = self.history.prior.service_weight
            known = self.history.services.get(name, Known(self.history.shop.value, prior))
            # A service leans on the shop's figure by the prior's share of its weight, and is as uncertain with it.
            common = (self._shop - self.history.shop.value) * prior / known.weight
            self._kept["service", name] = self._normal(known, "service", name) + common
        return self._kept["service", name]

    def _technician(self, name: str) -> Numbers:
        if ("technician", name) not in self._kept:
            known = self.history.technicians.get(name, Known(0, self.history.prior.technician_weight))
            self._kept["technician", name] = self._normal(known, "technician", name)
        return self._kept["technician", name]

    def _unit(self, name: str) -> Numbers:
        if ("unit", name) not in self._kept:
            usual = (0.0, self.history.spread * float(np.sqrt(self.history.unit_share)))
            value, deviation = self.history.units.get(name, usual)
            normal = self.dice("unit", name).standard_normal(self.runs)
            self._kept["unit", name] = value + deviation * self._spread / self.history.spread * normal
        return self._kept["unit", name]

    def _normal(self, known: Known, *names: str) -> Numbers:
        deviation: Numbers = self._spread / np.sqrt(known.weight)
        return known.value + deviation * self.dice(*names).standard_normal(self.runs)
