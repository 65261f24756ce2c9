"""The floor: where everything is, and what each waits for."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from shop.core.actor import Actor
from shop.people.queries import benches
from shop.screens.http import page, staff_page
from shop.units import queries
from shop.units.models import Stage, Unit


@require_safe
@staff_page("floor.see")
def floor(request: HttpRequest, _actor: Actor) -> HttpResponse:
    """Show benches with what lies on them, then who waits, what is tested, and what may go home."""
    present = list(queries.present_units())
    at_work = [unit for unit in present if unit.stage in (Stage.BENCH, Stage.TESTING)]
    on_benches = [(bench, [unit for unit in at_work if unit.place_id == bench.id]) for bench in benches()]
    shown = {unit.id for _bench, units in on_benches for unit in units}
    context = {
        "benches": on_benches,
        "elsewhere": [unit for unit in at_work if unit.id not in shown],
        "intake": _in(present, Stage.INTAKE),
        "turn": [unit for unit in _in(present, Stage.QUEUE) if not unit.open_holds],  # type: ignore[attr-defined]
        "held": [unit for unit in _in(present, Stage.QUEUE) if unit.open_holds],  # type: ignore[attr-defined]
        "pickup": _in(present, Stage.PICKUP),
        "room": queries.room_left(),
        "count": len(present),
    }
    template = "screens/floor_part.html" if request.headers.get("HX-Request") else "screens/floor.html"
    return page(request, template, context)


def _in(units: list[Unit], stage: str) -> list[Unit]:
    return [unit for unit in units if unit.stage == stage]
