"""What the stored plan and the shop's record say about one unit's date, also when the plan does not know it yet."""

from dataclasses import dataclass
from datetime import date

from shop.planning.basis import basis_of, written_basis
from shop.planning.forecasting import Foreseen, Given, foresee, is_whole, order_of
from shop.planning.gathering import Gathered, gather
from shop.planning.keeping import outcomes
from shop.planning.models import Plan
from shop.planning.promises.calibration import percent_to_use
from shop.planning.promises.promising import PromiseDate
from shop.units.models import Unit


@dataclass(frozen=True, slots=True)
class UnitOutlook:
    """The day that is sure enough for a unit, by which plan, with all that it was computed from."""

    unit: Unit
    sure: PromiseDate
    plan: Plan
    foreseen: Foreseen
    gathered: Gathered
    order: list[Given]

    def chance_of(self, day: date) -> float:
        """Return the chance, 0 to 1, that the unit is ready by the end of a day."""
        return self.foreseen.dates.chance(str(self.unit.pk), day)


def outlook_of(unit: Unit, percent: int) -> UnitOutlook | None:
    """Return what the stored plan says of a unit, or None.

    None without a plan, and for a unit that waits, that nobody can do, or whose date lies beyond the horizon.
    """
    plan = Plan.objects.filter(stored_at__isnull=False).order_by("-generation").first()
    if plan is None:
        return None
    gathered = gather()
    if str(unit.pk) not in gathered.works:
        return None
    order = order_of(gathered, plan.steps.all())
    if not is_whole(gathered, order, str(unit.pk)):
        return None
    foreseen = foresee(gathered, order, percent, percent_to_use(percent, outcomes()))
    sure = foreseen.sure.get(str(unit.pk))
    return UnitOutlook(unit, sure, plan, foreseen, gathered, order) if sure else None


def figures_of(seen: UnitOutlook, on: date) -> dict[str, object]:
    """Return the figures to keep with a promise of a day: what it was computed from, and what it rests on."""
    return {
        "plan": seen.plan.generation,
        "planned_at": seen.plan.stored_at.isoformat() if seen.plan.stored_at else None,
        "units_planned": len(seen.gathered.works),
        "records": seen.foreseen.records,
        "used_percent": round(seen.sure.used_percent, 1),
        "chance_percent": round(100 * seen.chance_of(on), 1),
        "rests_on": written_basis(basis_of(seen.gathered, seen.order, str(seen.unit.pk), on), on),
    }
