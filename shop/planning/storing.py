"""Writing plans down, and reading them back as what the planner takes."""

import json
import time
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from shop.core import clock
from shop.core.reasons import Reason
from shop.planning.assigning import plan_facts
from shop.planning.assigning.plan_facts import SLOT_MINUTES, Placement
from shop.planning.forecasting import Foreseen, Given, foresee, order_of
from shop.planning.gathering import Gathered
from shop.planning.jobs import USUAL
from shop.planning.keeping import outcomes
from shop.planning.models import Plan, PlanStep, PlanUnit, PlanUnplanned, Precedence, Promise
from shop.planning.promises.calibration import percent_to_use
from shop.planning.solve_apart import Answer
from shop.planning.unit_work import GENERAL

# Better plans in quick succession are stored once in so many seconds.
_STORE_EVERY_S = 10.0


def reasons_text(reasons: Iterable[Reason]) -> str:
    """Write reasons down as canonical JSON."""
    rows = [{"code": reason.code, "facts": dict(reason.facts)} for reason in reasons]
    return json.dumps(rows, sort_keys=True, ensure_ascii=False, default=str)


def reasons_from(text: str) -> list[Reason]:
    """Read reasons that were written down."""
    return [Reason(row["code"], row["facts"]) for row in json.loads(text)]


def previous_of(plan: Plan | None, start: datetime) -> Mapping[UUID, Sequence[Placement]]:
    """Return where a stored plan has each unit's steps, in slots from a start. Three queries.

    A unit whose promise or precedence has changed since has no place to keep: it is to be planned anew.
    """
    found: dict[UUID, list[Placement]] = defaultdict(list)
    changed = _changed_since(plan.made_at) if plan else set()
    for step in plan.steps.exclude(unit__in=changed) if plan else ():
        begin, end = (int((at - start).total_seconds()) // 60 // SLOT_MINUTES for at in (step.begins_at, step.ends_at))
        if end > 0:
            who = str(step.technician_id) if step.technician_id else None
            found[step.unit_id].append(
                Placement(str(step.unit_id), step.key, who, step.bench_key, max(0, begin), max(1, end))
            )
    return found


def _changed_since(moment: datetime) -> set[UUID]:
    promised = Promise.objects.filter(created_at__gt=moment).values_list("unit_id", flat=True)
    word = Precedence.objects.filter(Q(created_at__gt=moment) | Q(retired_at__gt=moment))
    return {*promised, *word.values_list("unit_id", flat=True)}


@dataclass(slots=True)
class Writer:
    """Stores one run's plans, each in place of the one before. order and foreseen are those of the last one stored."""

    run: Plan
    gathered: Gathered
    foreseen: Foreseen | None = None
    order: Sequence[Given] = ()
    _stored: float = float("-inf")

    def better(self, answer: Answer) -> None:
        """Store a plan found on the way, unless one was stored just now."""
        if time.monotonic() - self._stored >= _STORE_EVERY_S:
            self.store(answer)

    def store(self, answer: Answer) -> None:
        """Write a plan down with the dates that follow from it."""
        plan, gathered, run = answer.plan, self.gathered, self.run
        steps = [self._step(placed) for placed in plan.placements]
        percent = gathered.shop.promise_percent
        self.order = order_of(gathered, steps)
        self.foreseen = foresee(gathered, self.order, percent, percent_to_use(percent, outcomes()))
        with transaction.atomic():
            for rows in (run.steps, run.units, run.unplanned):
                rows.all().delete()
            PlanStep.objects.bulk_create(steps)
            PlanUnit.objects.bulk_create(self._units(answer, self.foreseen))
            PlanUnplanned.objects.bulk_create(self._unplanned(plan))
            run.stored_at, run.how = clock.now(), plan.how.value
            # An unpromised minute counts for ten in the planner, so that weights are whole numbers.
            run.late_minutes, run.bound_minutes = (
                round(figure * SLOT_MINUTES / USUAL) for figure in (plan.value, plan.bound)
            )
            run.seconds = round(answer.seconds, 2)
            run.save(update_fields=["stored_at", "how", "late_minutes", "bound_minutes", "seconds"])
        self._stored = time.monotonic()

    def _step(self, placed: Placement) -> PlanStep:
        work = self.gathered.works[placed.job]
        piece = next(piece for piece in work.pieces if piece.key == placed.step)
        return PlanStep(
            plan=self.run,
            unit=work.unit,
            key=piece.key,
            kind=piece.kind,
            words=piece.words,
            technician=self.gathered.people.get(placed.technician or ""),
            bench=self.gathered.places.get(placed.bench),
            bench_key=placed.bench,
            begins_at=self.gathered.moment(placed.start_slot),
            ends_at=self.gathered.moment(placed.end_slot),
            minutes=piece.left_min,
        )

    def _units(self, answer: Answer, foreseen: Foreseen) -> Iterator[PlanUnit]:
        due = {job.key: job.due_slot for job in self.gathered.facts.jobs}
        since = _off_since(self.run)
        today = clock.day_of(clock.now(), self.gathered.shop.time_zone)
        for key, end in answer.plan.ends.items():
            unit = self.gathered.works[key].unit
            sure = foreseen.sure.get(key)
            late = max(0, end - (due[key] or 0)) * SLOT_MINUTES if unit.promised_on and due[key] is not None else 0
            yield PlanUnit(
                plan=self.run,
                unit=unit,
                ends_at=self.gathered.moment(end),
                sure_on=sure.on if sure else None,
                sure_percent=sure.percent if sure else None,
                promise_chance_percent=foreseen.chance(key, unit.promised_on),
                late_minutes=late,
                off_since=_still_off(since.get(unit.pk), sure.on if sure else None, unit.promised_on, today),
                why=reasons_text(self._dated(reason) for reason in answer.why.get(key, ())),
            )

    def _dated(self, reason: Reason) -> Reason:
        """Return a reason with the moment in place of the slot; where anybody may do a thing no skill is waited for."""
        facts = dict(reason.facts)
        if "slot" in facts:
            facts["slot"] = self.gathered.moment(facts["slot"]).isoformat()
        anybody = facts.get("skill") == GENERAL
        return Reason("why_waits_technician" if anybody else reason.code, facts)

    def _unplanned(self, plan: plan_facts.Plan) -> Iterator[PlanUnplanned]:
        waiting = [(work.unit, work.reason) for work in self.gathered.waiting if work.reason]
        cannot = [(self.gathered.works[row.job].unit, row.reason) for row in plan.unplanned]
        for unit, reason in [*cannot, *waiting]:
            facts = json.dumps(dict(reason.facts), sort_keys=True, ensure_ascii=False, default=str)
            yield PlanUnplanned(plan=self.run, unit=unit, code=reason.code, facts=facts)


def _off_since(run: Plan) -> dict[UUID, tuple[date | None, date | None]]:
    """Return what the plan before this one said, by unit: its day, and since when days were off. Two queries."""
    before = Plan.objects.filter(stored_at__isnull=False, generation__lt=run.generation).order_by("-generation").first()
    rows = before.units.values_list("unit_id", "sure_on", "off_since") if before else ()
    return {unit_id: (sure_on, off_since) for unit_id, sure_on, off_since in rows}


def _still_off(
    before: tuple[date | None, date | None] | None, sure: date | None, promised: date | None, today: date
) -> date | None:
    """Return since when a unit's day has differed from its promise in the same direction; None when it agrees."""
    if sure is None or promised is None or sure == promised:
        return None
    was, since = before or (None, None)
    same = was is not None and was != promised and (was > promised) is (sure > promised)
    return since if same and since else today
