"""How long work really takes: what the shop's own record says about its estimates. Pure.

The model is for the logarithm of a step's ratio, minutes really worked over the mean of its estimate:

    ln ratio = shop + service + technician + unit + own

Every service keeps near the shop's figure, the shop near the prior, and a technician near nobody in particular, each
pulled there as by so many records (`Prior`): a new service reads like the shop, a new shop like the prior. Older
records fade by half in `HALF_LIFE_DAYS`. Ratios further out than 2.5 spreads are drawn in before anything is averaged
(Huber, Robust Estimation of a Location Parameter, Ann. Math. Stat. 35, 1964), so that one forgotten clock moves
little; how often such outliers come is kept, in the shape of what a forecast draws from.

Errors are not independent: a unit that goes badly goes badly at every step, a technician is fast or slow at all of
them, and what is not yet known about shop, service and technician is wrong for all units at once. A forecast therefore
draws each of these once for a run. The spread itself is drawn too (scaled inverse chi-square), which gives the tails of
Student's distribution while the record is short.

Range: from no record to tens of thousands; ratios from about 1/20 to 20. A change of habits shows only as fast as old
records fade. What all units of one day have in common is not modelled apart: over the days of a queue it averages out.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log, sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from shop.planning.promises.estimates import Estimate

Numbers = NDArray[np.float64]
Rows = NDArray[np.intp]

HALF_LIFE_DAYS = 240
_WIDEST = 2.5
# The variance of a normal value that is drawn in at 2.5, as a share of one: what the drawn-in spread is divided by.
_DRAWN_IN = 0.9776
_ROUNDS = 12
_SHAPE_POINTS = 1000


@dataclass(frozen=True, slots=True)
class Record:
    """A step that is done: what it was, whose, its estimate, the hands-on minutes it took, and how long ago."""

    service: str
    unit: str
    technician: str
    estimate: Estimate
    actual_min: float
    days_ago: float = 0


@dataclass(frozen=True, slots=True)
class Prior:
    """What is taken of a new shop, and for how many records it counts. Assumptions, from no shop's figures.

    Estimates are right on average and err by a third; an estimate's usual log_width is that of three quarters to twice
    the likely minutes. unit_share is the part of the variance that steps of one unit have in common.
    """

    log_ratio: float = -0.06
    spread: float = 0.35
    log_width: float = 0.3
    unit_share: float = 0.25
    shop_weight: float = 2
    service_weight: float = 4
    technician_weight: float = 6
    spread_weight: float = 10
    unit_pairs_weight: float = 20
    shape_weight: int = 40


NEW_SHOP = Prior()


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a part of the logarithm: its expected value and, as a number of records, how well."""

    value: float
    weight: float


@dataclass(frozen=True, slots=True)
class History:
    """What the record says. Values are of the natural logarithm of the ratio; see the module.

    services' values are those of shop and service together. spread is one standard deviation with spread_weight degrees
    of freedom; shape are the thousand quantiles of what is left, in spreads; units have the value and the standard
    deviation of what is common to a unit's steps.
    """

    shop: Known
    services: Mapping[str, Known]
    technicians: Mapping[str, Known]
    units: Mapping[str, tuple[float, float]]
    spread: float
    spread_weight: float
    unit_share: float
    log_width: float
    shape: Numbers
    prior: Prior

    def median_ratio(self, service: str, technician: str = "") -> float:
        """Return how many times a service's estimate is really needed, one case in two, by a technician."""
        value = self.services.get(service, self.shop).value
        return float(np.exp(value + self.technicians.get(technician, Known(0, 0)).value))


@dataclass(slots=True)
class _Table:
    """Records as columns; groups are numbered from 0."""

    log_ratio: Numbers
    weight: Numbers
    stretch: Numbers
    groups: dict[str, tuple[list[str], Rows]]

    def sums(self, group: str, values: Numbers) -> Numbers:
        names, places = self.groups[group]
        return np.bincount(places, weights=values, minlength=len(names)).astype(np.float64)


def learn(records: Sequence[Record], prior: Prior = NEW_SHOP) -> History:
    """Return what the record of steps says about estimates. No records give the prior.

    Less than a minute of estimate or of work counts as a minute. Raises ValueError for minutes below none or that are
    no number, or a record from the future.
    """
    log_width = _usual_width(records, prior)
    table = _table(records, log_width)
    total = float(table.weight.sum())
    services, technicians = np.full(len(table.groups["service"][0]), prior.log_ratio), np.zeros(0)
    technicians = np.zeros(len(table.groups["technician"][0]))
    shop, spread = Known(prior.log_ratio, prior.shop_weight), _first_spread(table, prior)
    residual = drawn_in = np.zeros(len(records))
    for _round in range(_ROUNDS):
        centre = services[table.groups["service"][1]] + technicians[table.groups["technician"][1]]
        residual = (table.log_ratio - centre) / table.stretch
        drawn_in = np.clip(residual, -_WIDEST * spread, _WIDEST * spread)
        squares = float((table.weight * drawn_in**2).sum()) / _DRAWN_IN
        spread = sqrt((prior.spread_weight * prior.spread**2 + squares) / (prior.spread_weight + total))
        clean = centre + drawn_in * table.stretch
        shop, services = _services(table, clean - technicians[table.groups["technician"][1]], prior)
        left = table.weight * (clean - services[table.groups["service"][1]])
        counts = table.sums("technician", table.weight)
        technicians = table.sums("technician", left) / (counts + prior.technician_weight)
    unit_share = _unit_share(table, drawn_in / spread, prior)
    return History(
        shop=shop,
        services=_known(table, "service", services, prior.service_weight),
        technicians=_known(table, "technician", technicians, prior.technician_weight),
        units=_units(table, drawn_in, spread, unit_share),
        spread=spread,
        spread_weight=prior.spread_weight + total,
        unit_share=unit_share,
        log_width=log_width,
        shape=_shape(residual / spread, table.weight, prior),
        prior=prior,
    )


def stretch(estimate: Estimate, log_width: float) -> float:
    """Return how much wider than usual an estimate is, from half to twice: a step that may go wrong spreads more."""
    return min(2.0, max(0.5, estimate.log_width / log_width))


def _usual_width(records: Sequence[Record], prior: Prior) -> float:
    seen = sum(record.estimate.log_width for record in records)
    return (prior.spread_weight * prior.log_width + seen) / (prior.spread_weight + len(records))


def _table(records: Sequence[Record], log_width: float) -> _Table:
    for record in records:
        if not (0 <= record.actual_min < float("inf") and record.days_ago >= 0):
            raise ValueError("a record has minutes from none on, and lies in the past")
    groups = {}
    for group in ("service", "technician", "unit"):
        names: dict[str, int] = {}
        places = [names.setdefault(getattr(record, group), len(names)) for record in records]
        groups[group] = (list(names), np.array(places, dtype=np.intp))
    ratios = [log(max(1, record.actual_min) / max(1, record.estimate.mean_min)) for record in records]
    return _Table(
        log_ratio=np.array(ratios, dtype=np.float64),
        weight=np.array([0.5 ** (record.days_ago / HALF_LIFE_DAYS) for record in records], dtype=np.float64),
        stretch=np.array([stretch(record.estimate, log_width) for record in records], dtype=np.float64),
        groups=groups,
    )


def _first_spread(table: _Table, prior: Prior) -> float:
    """Start from the median deviation (1.4826 of it is a standard deviation), held to the prior."""
    if not len(table.log_ratio):
        return prior.spread
    seen = 1.4826 * float(np.median(np.abs(table.log_ratio - np.median(table.log_ratio))))
    total = float(table.weight.sum())
    return sqrt((prior.spread_weight * prior.spread**2 + total * seen**2) / (prior.spread_weight + total))


def _services(table: _Table, values: Numbers, prior: Prior) -> tuple[Known, Numbers]:
    """Average by service, those into the shop's figure with the prior's, and pull each service to the shop."""
    counts = table.sums("service", table.weight)
    means = table.sums("service", table.weight * values) / np.maximum(counts, 1e-9)
    weights = prior.service_weight * counts / (prior.service_weight + counts)
    shop_weight = prior.shop_weight + float(weights.sum())
    shop = (prior.shop_weight * prior.log_ratio + float((weights * means).sum())) / shop_weight
    pulled = (counts * means + prior.service_weight * shop) / (counts + prior.service_weight)
    return Known(shop, shop_weight), pulled


def _known(table: _Table, group: str, values: Numbers, weight: float) -> dict[str, Known]:
    counts = table.sums(group, table.weight)
    names = table.groups[group][0]
    return {name: Known(float(values[at]), float(counts[at]) + weight) for at, name in enumerate(names)}


def _unit_share(table: _Table, residual: Numbers, prior: Prior) -> float:
    """Average the products of each two steps of one unit: what they have in common, as a share of the variance."""
    counts = table.sums("unit", np.ones_like(residual))
    products = float((table.sums("unit", residual) ** 2 - table.sums("unit", residual**2)).sum())
    pairs = float((counts * (counts - 1)).sum())
    share = (products + prior.unit_pairs_weight * prior.unit_share) / (pairs + prior.unit_pairs_weight)
    return min(0.8, max(0.0, share))


def _units(table: _Table, residual: Numbers, spread: float, share: float) -> dict[str, tuple[float, float]]:
    common, own = share * spread**2, (1 - share) * spread**2
    counts, sums = table.sums("unit", np.ones_like(residual)), table.sums("unit", residual)
    values, variances = common * sums / (own + counts * common), common * own / (own + counts * common)
    names = table.groups["unit"][0]
    return {name: (float(values[at]), sqrt(variances[at])) for at, name in enumerate(names)}


def _shape(residual: Numbers, weight: Numbers, prior: Prior) -> Numbers:
    """Return the quantiles of what was seen together with those of a normal distribution, which counts as the prior."""
    normal = NormalDist()
    usual = [normal.inv_cdf((at + 0.5) / prior.shape_weight) for at in range(prior.shape_weight)]
    values = np.concatenate([usual, np.clip(residual, -8, 8)])
    weights = np.concatenate([np.ones(prior.shape_weight), weight])
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(weights[order]) - weights[order] / 2
    wanted = (np.arange(_SHAPE_POINTS) + 0.5) / _SHAPE_POINTS * weights.sum()
    return np.asarray(np.interp(wanted, reached, values[order]), dtype=np.float64)
