"""Load and flow: how much is in work, how long it stays, who is busy, and what is about to wait."""

from itertools import accumulate

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from shop.core.actor import Actor
from shop.planning.queries import record_of_promises
from shop.planning.queues.flow import Jam
from shop.planning.shown.flow import FlowShown, flow_shown
from shop.screens.day_plot import day_plot
from shop.screens.http import page, staff_page


@require_safe
@staff_page("planning.see")
def plan_flow(request: HttpRequest, _actor: Actor) -> HttpResponse:
    """Show the figures as curves, with the same figures as tables."""
    seen = flow_shown()
    days = [day.on for day in seen.days]
    context = {
        "flow": seen,
        "in_work": day_plot(days, [day.in_work for day in seen.days]),
        "moves": day_plot(
            days, list(accumulate(day.came for day in seen.days)), list(accumulate(day.went for day in seen.days))
        ),
        "jams": [(jam, _who(jam, seen)) for jam in seen.jams],
        "kept": record_of_promises(),
    }
    return page(request, "screens/plan_flow.html", context)


def _who(jam: Jam, seen: FlowShown) -> str:
    """Return whose warning it is by name; empty for a stage."""
    return next((use.person.name for use in seen.people if str(use.person.pk) == jam.where), "")
