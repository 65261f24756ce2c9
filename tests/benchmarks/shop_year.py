"""A shop's year, played out event by event: units come, are promised a date, are worked on, and are late or not.

What the shop is really like (`Kind`) is known here only. The planning side sees what a shop sees: estimates, what was
worked, which parts came when, which tests failed, and which of its promises were kept.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

import numpy as np

from shop.planning.promises.calibration import Outcome, percent_to_use
from shop.planning.promises.estimates import Estimate
from shop.planning.promises.history import Record, learn
from shop.planning.promises.promising import by_day
from shop.planning.promises.simulation import Experience, Mend, Outlook, Release, Task, simulate
from shop.planning.worktime.working_time import Calendar, Hours, spans_between
from tests.planning.event_simulator import Crew, Events, Process, Wait, Work

CALENDAR = Calendar(UTC, {day: (Hours(time(9), time(12, 30)), Hours(time(13, 15), time(17, 30))) for day in range(5)})
OPENING = datetime(2026, 1, 5, tzinfo=UTC)
CLOSING = OPENING + timedelta(days=365)
DAY_MIN = 465
_SEEN_AHEAD = timedelta(days=200)
_RUNS = 200
SPANS = spans_between(CALENDAR, OPENING, CLOSING + 2 * _SEEN_AHEAD)


@dataclass(frozen=True, slots=True)
class Truth:
    """How a service really goes: the likely minutes that are estimated, and the true factor on them (median)."""

    likely_min: float
    factor: float


@dataclass(frozen=True, slots=True)
class Kind:
    """What a shop is really like.

    load is the share of the technicians' minutes that comes in; orders are what a unit may need, one as often as the
    other. noise and unit_noise are deviations of the logarithm, a step's own and common to a unit's; tail are degrees
    of freedom of Student's distribution. paces are factors by technician, shares of the day that is left by
    interruptions, parts_late days, failing the chance of a test, comebacks the share of units that go first.
    """

    services: Mapping[str, Truth]
    orders: Sequence[Sequence[str]]
    paces: Sequence[float]
    load: float
    noise: float
    unit_noise: float
    tail: float = np.inf
    parts_wanted: float = 0.0
    parts_late: Sequence[float] = (0.0,)
    failing: float = 0.0
    shares: Sequence[float] = (1.0,)
    comebacks: float = 0.0
    soak_hours: float = 0.0
    backlog_days: float = 5.0


@dataclass(slots=True)
class Promised:
    """A date told, with the chance it was given, and the day on which the unit was really done."""

    on: date
    percent: int
    chance_percent: float
    done_on: date | None = None

    @property
    def kept(self) -> bool:
        return self.done_on is not None and self.done_on <= self.on


@dataclass(slots=True)
class Unit:
    """A unit in the shop: its steps, the next of them, since when that is under way and at which share of the time."""

    name: str
    steps: list[Task]
    rank: float
    parts_due: datetime | None = None
    at: int = 0
    began: float | None = None
    share: float = 1.0
    promise: Promised | None = None


class Clock:
    """The shop's clock: minutes of working time since the year began, and moments."""

    def __init__(self) -> None:
        self._since = np.array([(span.since - OPENING).total_seconds() / 60 for span in SPANS])
        self._length = np.array([span.minutes for span in SPANS])
        self._worked = np.cumsum(self._length) - self._length

    def moment(self, work: float) -> datetime:
        place = int(np.searchsorted(self._worked, work - 1e-6, side="right")) - 1
        return OPENING + timedelta(minutes=float(self._since[max(0, place)] + work - self._worked[max(0, place)]))

    def work(self, moment: datetime) -> float:
        minutes = (moment - OPENING).total_seconds() / 60
        place = max(0, int(np.searchsorted(self._since, minutes, side="right")) - 1)
        inside = min(max(0.0, minutes - self._since[place]), self._length[place])
        return float(self._worked[place] + inside)


class Year:
    """One shop, one year, one stated percent. corrected says whether the record of promises corrects them."""

    def __init__(self, kind: Kind, seed: int, percent: int = 80, *, corrected: bool = True) -> None:
        self.kind, self.percent, self.corrected = kind, percent, corrected
        self.dice = np.random.default_rng(seed)
        self.clock, self.events = Clock(), Events()
        self.crews = [Crew(1) for _pace in kind.paces]
        self.present: dict[str, Unit] = {}
        self.promised: list[Promised] = []
        self.records: list[tuple[float, Record]] = []
        self.tests = {True: 0, False: 0}
        self.parts_late: list[float] = []
        self.shares: dict[tuple[int, int], float] = {}
        self.came = 0
        self.experience, self.learned_on = Experience(learn([])), -1

    def play(self) -> list[Promised]:
        """Play the year through, wait for its last promises, and return those that fell due within it."""
        self.events.start(self._arrivals())
        self.events.run(self.clock.work(CLOSING + timedelta(days=120)))
        return [each for each in self.promised if each.on < CLOSING.date()]

    # --- what happens -------------------------------------------------------------------------------------------------

    def _arrivals(self) -> Process:
        mean = float(np.mean([sum(map(self._true_mean, order)) for order in self.kind.orders]))
        mean += self.kind.failing / (1 - self.kind.failing) * (self._true_mean("mend") + self._true_mean("test"))
        mean /= float(np.mean(self.kind.shares))
        for _unit in range(int(self.kind.backlog_days * DAY_MIN * len(self.crews) / mean)):
            self._arrive()
        while self.events.now < self.clock.work(CLOSING):
            yield Wait(float(self.dice.exponential(mean / (self.kind.load * len(self.crews)))))
            unit = self._arrive()
            unit.promise = self._promise(unit)
            self.promised.append(unit.promise)

    def _true_mean(self, name: str) -> float:
        truth = self.kind.services.get(name, Truth(0, 0))
        return truth.likely_min * truth.factor * float(np.exp((self.kind.noise**2 + self.kind.unit_noise**2) / 2))

    def _arrive(self) -> Unit:
        self.came += 1
        name, now = f"u{self.came}", self.events.now
        order = self.kind.orders[int(self.dice.integers(len(self.kind.orders)))]
        bench = min(range(len(self.crews)), key=self._ahead)
        tester = (bench + 1) % len(self.crews)
        steps = [self._task(name, step, tester if step == "test" else bench, bench) for step in order]
        first = self.dice.random() < self.kind.comebacks
        unit = Unit(name, steps, rank=now - 1e6 * first)
        if self.dice.random() < self.kind.parts_wanted:
            unit.parts_due = self.clock.moment(now) + timedelta(days=float(self.dice.integers(2, 15)))
        self.present[name] = unit
        self.events.start(self._life(unit), now)
        return unit

    def _ahead(self, technician: int) -> float:
        steps = (step for unit in self.present.values() for step in unit.steps[unit.at :])
        return sum(step.estimate.likely_min for step in steps if step.technician == f"t{technician}")

    def _task(self, unit: str, step: str, technician: int, mender: int) -> Task:
        if step == "soak":
            minutes = 60 * self.kind.soak_hours
            return Task(unit, step, None, step, Estimate(minutes, minutes, minutes))
        mend = Mend(f"t{mender}", "mend", self._estimate("mend")) if step == "test" and self.kind.failing else None
        return Task(unit, step, f"t{technician}", step, self._estimate(step), mend=mend)

    def _estimate(self, step: str) -> Estimate:
        likely = self.kind.services[step].likely_min
        return Estimate(0.75 * likely, likely, 2 * likely)

    def _life(self, unit: Unit) -> Process:
        if unit.parts_due:
            late = float(self.dice.choice(np.asarray(self.kind.parts_late)))
            yield self._until(unit.parts_due + timedelta(days=late))
            self.parts_late.append(late)
            unit.parts_due = None
        common = self.kind.unit_noise * float(self.dice.standard_normal())
        while unit.at < len(unit.steps):
            task = unit.steps[unit.at]
            if task.technician is None:
                unit.began = self.events.now
                yield self._until(self.clock.moment(self.events.now) + timedelta(minutes=task.estimate.likely_min))
            else:
                minutes = self._really(task, int(task.technician[1:]), common)
                yield self._work(unit, task, minutes)
                # Clocked is what lies between begin and end, interruptions included.
                record = Record(task.service, unit.name, task.technician, task.estimate, minutes / unit.share)
                self.records.append((self.events.now, record))
            unit.began, unit.at = None, unit.at + 1
            if task.mend:
                self._tested(unit, task, task.mend)
        del self.present[unit.name]
        if unit.promise:
            unit.promise.done_on = self.clock.moment(self.events.now).date()

    def _tested(self, unit: Unit, task: Task, mend: Mend) -> None:
        failed = bool(self.dice.random() < self.kind.failing)
        self.tests[failed] += 1
        if failed:
            again = Task(unit.name, f"mend {unit.at}", mend.technician, mend.service, mend.estimate)
            unit.steps[unit.at : unit.at] = [again, task]

    def _really(self, task: Task, technician: int, common: float) -> float:
        truth, tail = self.kind.services[task.service], self.kind.tail
        normal = self.dice.standard_normal() if np.isinf(tail) else self.dice.standard_t(tail)
        log = common + self.kind.noise * float(np.clip(normal, -6, 6))
        return truth.likely_min * truth.factor * self.kind.paces[technician] * float(np.exp(log))

    def _work(self, unit: Unit, task: Task, minutes: float) -> Work:
        technician = int(str(task.technician)[1:])

        def begun() -> float:
            unit.began = self.events.now
            day = int(unit.began // DAY_MIN), technician
            if day not in self.shares:
                self.shares[day] = float(self.dice.choice(np.asarray(self.kind.shares)))
            unit.share = self.shares[day]
            return minutes / unit.share

        return Work(self.crews[technician], begun, unit.rank)

    def _until(self, moment: datetime) -> Wait:
        return Wait(max(0.0, self.clock.work(moment) - self.events.now))

    # --- what the planning side does with it --------------------------------------------------------------------------

    def _promise(self, unit: Unit) -> Promised:
        now = self.clock.moment(self.events.now)
        self._learn(now)
        until = now + _SEEN_AHEAD
        spans = [span for span in SPANS if now < span.until <= until]
        people = {f"t{each}": spans for each in range(len(self.crews))}
        outlook = Outlook(now, list(self._plan(now)), people, self._releases(), self.experience)
        dates = by_day(simulate(outlook, _RUNS), CALENDAR, until)
        used = percent_to_use(self.percent, self._outcomes(now.date())) if self.corrected else None
        promise = dates.promise(unit.name, self.percent, used)
        return Promised(promise.on, self.percent, promise.chance_percent)

    def _plan(self, now: datetime) -> Iterator[Task]:
        """What is under way comes first, then units by rank."""
        units = sorted(self.present.values(), key=lambda unit: (unit.began is None, unit.rank, int(unit.name[1:])))
        for unit in units:
            for place, task in enumerate(unit.steps[unit.at :], start=unit.at):
                worked = 0.0
                if unit.began is not None and place == unit.at:
                    since = self.clock.moment(unit.began)
                    worked = self.events.now - unit.began if task.technician else (now - since).total_seconds() / 60
                yield Task(unit.name, f"{place}", task.technician, task.service, task.estimate, worked, task.mend)

    def _releases(self) -> dict[str, Release]:
        return {unit.name: Release(unit.parts_due, parts=True) for unit in self.present.values() if unit.parts_due}

    def _learn(self, now: datetime) -> None:
        """Read the record anew, once a day."""
        today = int(self.events.now // DAY_MIN)
        if today == self.learned_on:
            return
        self.learned_on = today
        aged = [
            Record(r.service, r.unit, r.technician, r.estimate, r.actual_min, (now - self.clock.moment(at)).days)
            for at, r in self.records
        ]
        self.experience = Experience(learn(aged), self.tests[True], self.tests[False], self.parts_late[-100:])

    def _outcomes(self, today: date) -> list[Outcome]:
        return [Outcome(each.on, each.percent, each.kept) for each in self.promised if each.on < today]
