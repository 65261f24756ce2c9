"""The bench: what I am working on, what comes next, and which bench this device belongs to."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.core.actor import Actor
from shop.floor.gates import offers_in_queue
from shop.people.models import Place
from shop.people.queries import benches
from shop.screens.http import SEE_OTHER, given_uuid, page, staff_page, tied_bench
from shop.screens.wording import shown_offers
from shop.units import queries
from shop.units.models import Stage

_NEXT = 6


@require_safe
@staff_page("work.do")
def bench(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show my units and the next ones in turn, each with what may be done."""
    tied = tied_bench(request)
    present = list(queries.present_units())
    at_work = [unit for unit in present if unit.stage in (Stage.BENCH, Stage.TESTING)]
    mine = [unit for unit in at_work if str(unit.technician_id) == actor.id or (tied and unit.place_id == tied.id)]
    turn = [unit for unit in present if unit.stage == Stage.QUEUE and not unit.open_holds][:_NEXT]  # type: ignore[attr-defined]
    context = {
        "bench": tied,
        "benches": benches(),
        "mine": mine,
        "turn": [
            (unit, [shown for shown in shown_offers(known) if shown.offer.open and shown.needs_bench])
            for unit, known in zip(turn, offers_in_queue(turn), strict=True)
        ],
    }
    return page(request, "screens/bench.html", context)


@require_POST
@staff_page("floor.see")
def tie(request: HttpRequest, _actor: Actor) -> HttpResponse:
    """Tie this device to a bench, or untie it: a bag scanned here is then scanned at that bench."""
    chosen = given_uuid(request.POST, "bench")
    if chosen and Place.objects.filter(pk=chosen, kind=Place.Kind.BENCH, retired_at=None).exists():
        request.session["bench"] = str(chosen)
    else:
        request.session.pop("bench", None)
    return HttpResponseRedirect(reverse("screens:bench"), status=SEE_OTHER)
