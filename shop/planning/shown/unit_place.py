"""One unit's place in the stored plan: its steps, its dates, why it lies there, and what the owner said of it."""

import json
from dataclasses import dataclass

from shop.core.reasons import Reason
from shop.planning.models import Pin, Plan, PlanStep, PlanUnit, Precedence, Promise
from shop.planning.plans import current
from shop.planning.storing import reasons_from
from shop.units.models import Unit


@dataclass(frozen=True, slots=True)
class UnitPlace:
    """Where a unit lies in the plan. planned is None for one that is left out, with the reason in left_out."""

    plan: Plan | None
    planned: PlanUnit | None
    steps: list[PlanStep]
    why: list[Reason]
    left_out: Reason | None
    pin: Pin | None
    first: Precedence | None
    promises: list[Promise]

    @property
    def explained(self) -> list[tuple[PlanStep, Reason | None]]:
        """Return the steps in order, each with why it lies where it lies, where that is known."""
        known = len(self.why) == len(self.steps)
        reasons: list[Reason | None] = [*self.why] if known else [None] * len(self.steps)
        return list(zip(self.steps, reasons, strict=True))


def place_of(unit: Unit) -> UnitPlace:
    """Return a unit's place in the plan that counts. Seven queries."""
    plan = current()
    planned = PlanUnit.objects.filter(plan=plan, unit=unit).first() if plan else None
    left_out = plan.unplanned.filter(unit=unit).first() if plan else None
    steps = plan.steps.filter(unit=unit).select_related("technician", "bench") if plan else ()
    return UnitPlace(
        plan=plan,
        planned=planned,
        steps=list(steps),
        why=reasons_from(planned.why) if planned else [],
        left_out=Reason(left_out.code, json.loads(left_out.facts)) if left_out else None,
        pin=Pin.objects.filter(unit=unit, retired_at=None).select_related("technician").first(),
        first=Precedence.objects.filter(unit=unit, retired_at=None).first(),
        promises=list(Promise.objects.filter(unit=unit).order_by("-created_at")[:5]),
    )
