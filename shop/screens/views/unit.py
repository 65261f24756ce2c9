"""One unit: what it is, what may happen next, and everything that happened."""

from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.boards.cautions import cautions_for
from shop.boards.queries import revisions_of, variants_of
from shop.books.deposits import open_request
from shop.books.models import Payment, Release
from shop.books.queries import amount_due, invoice_of, payments
from shop.core.actor import Actor
from shop.core.models import TrailEntry
from shop.core.profile import profile
from shop.floor import stages
from shop.floor.at_bench import BenchView, bench_view
from shop.floor.gates import facts_of, offers_for
from shop.floor.story import spoken, trace_of
from shop.notices.queries import for_unit
from shop.people.models import Place, User
from shop.people.queries import places
from shop.quotes.queries import draft_of, latest_shown, shown
from shop.quotes.questions import questions_of
from shop.screens.http import act, no_such_act, page, staff_page
from shop.screens.trail_words import TrailLine, trail_lines
from shop.screens.verbs import VERBS
from shop.screens.wording import shown_offers
from shop.testing.queries import procedure, readings
from shop.units import links, queries
from shop.units.label_draw import Paper
from shop.units.models import Finding, Hold, Outcome, Unit, UnitPhoto
from shop.work import outline
from shop.work.models import JobStep
from shop.work.queries import fasteners, minutes_worked, sheet

_COMING = 13  # the present step and the dozen after it; the rest is one tap away


@require_safe
@staff_page("units.see")
def unit_page(request: HttpRequest, _actor: Actor, number: int) -> HttpResponse:
    """Show a unit."""
    return _unit(request, queries.by_number(number))


@require_POST
@staff_page("units.see")
def unit_do(request: HttpRequest, actor: Actor, number: int, verb: str) -> HttpResponse:
    """Do one thing to a unit, and show it again; a refusal says why on the unit's own page."""
    unit = queries.by_number(number)

    def perform(post: QueryDict) -> str:
        if verb not in VERBS:
            raise no_such_act(verb)
        return VERBS[verb](actor, unit, post, request.FILES) or _back(post, number)

    def again(request: HttpRequest, reasons: Any = ()) -> HttpResponse:
        return _unit(request, queries.by_number(number), reasons)

    return act(request, actor, perform, again)


def _back(post: QueryDict, number: int) -> str:
    """Return to the part of the page that the form came from."""
    part = post.get("part", "")
    return reverse("screens:unit", args=[number]) + (f"#{part}" if part.isalpha() else "")


def _unit(request: HttpRequest, unit: Unit, reasons: Any = ()) -> HttpResponse:
    shop = profile()
    entries = list(queries.history(unit))
    drawing = trace_of(unit, entries)
    context = {
        "unit": unit,
        "drawing": drawing,
        "spoken": spoken(drawing, shop.time_zone, shop.locale),
        "zone": shop.time_zone,
        "offers": shown_offers(offers_for(unit)),
        "kept": any(hold.keeps for hold in unit.open_holds),  # type: ignore[attr-defined]
        "typed": request.POST,
        "bags": unit.bags.all(),
        "earlier": queries.seen_before(model_id=unit.model_id, serial=unit.serial, not_this=unit.id),
    }
    context |= _inside(unit) | _choices(unit) | _money(unit)
    context["trail"] = _trail(entries, context)
    return page(request, "screens/unit.html", context, reasons=reasons)


def _trail(entries: list[TrailEntry], context: dict[str, Any]) -> list[TrailLine]:
    """Return the trail in words, newest first; people are known by one query, steps and readings without any."""
    known = {str(step.id): step.words for step in context["sheet"]}
    known |= {str(reading.id): reading.name for reading in context["readings"]}
    known |= {str(person): name for person, name in User.objects.values_list("id", "name")}
    return trail_lines(reversed(entries), known)


def _inside(unit: Unit) -> dict[str, Any]:
    """What was found, done and measured."""
    steps, accounts = sheet(unit), list(fasteners(unit))
    bench = bench_view(unit, steps, accounts) if unit.stage in ("bench", "testing") else None
    return _at_the_bench(bench, steps) | {
        "findings": unit.findings.select_related("photo"),
        "photos": queries.photos_of(unit),
        "parcels": unit.parcels.all(),
        "incidents": unit.incidents.all(),
        "costs": unit.costs.all(),
        "consents": unit.consents.all(),
        "sheet": steps,
        "minutes": minutes_worked(unit),
        "fasteners": accounts,
        "readings": readings(unit),
        "points": procedure(unit, "open" if unit.stage == "bench" else "closed"),
        "cautions": cautions_for(unit.model),
        "messages_sent": for_unit(unit.id),
    }


def _at_the_bench(bench: BenchView | None, steps: list[JobStep]) -> dict[str, Any]:
    """What the present step shows: words, drawing, and at opening and closing the fasteners to tap."""
    left = [step for step in steps if step.done_at is None]
    out = [group for group in bench.groups if group.account and group.account.missing] if bench else []
    return {
        "bench": bench,
        "papers": [{"value": paper.value, "label": paper.value.title()} for paper in Paper],
        "present_step": left[0] if left else None,
        "coming": left[1:_COMING],
        "later": len(left[_COMING:]),
        "steps_done": [step for step in steps if step.done_at],
        "case_codes": (outline.OPEN, *outline.CLOSE_UP),
        "closing_codes": outline.CLOSE_UP,
        "turn_back": out[-1].screw.label if out else "",
    }


def _choices(unit: Unit) -> dict[str, Any]:
    """What the forms offer to choose from."""
    everywhere = list(places())
    true_outcomes = stages.outcomes(facts_of(unit)) if unit.stage == "pickup" and not unit.outcome else ()
    return {
        "benches": [place for place in everywhere if place.kind == Place.Kind.BENCH],
        "shelves": [place for place in everywhere if place.kind != Place.Kind.BENCH],
        "revisions": revisions_of(unit.model),
        "variants": variants_of(unit.model),
        "hold_kinds": [(kind.value, kind.label) for kind in Hold.BY_HAND],
        "finding_kinds": Finding.Kind.choices,
        "repairs": Finding.Repair.choices,
        "photo_purposes": UnitPhoto.Purpose.choices,
        "outcomes": [(value, Outcome(value).label) for value in true_outcomes],
        "checks": [choice for choice in Release.Check.choices if (choice[0] == "own") == unit.own],
        "methods": Payment.Method.choices,
    }


def _money(unit: Unit) -> dict[str, Any]:
    quote = latest_shown(unit.id)
    return {
        "draft": draft_of(unit.id),
        "quote": shown(quote) if quote else None,
        "due": amount_due(unit),
        "payments": payments(unit),
        "invoice": invoice_of(unit),
        "link": links.open_link(unit),
        "deposit": open_request(unit.id),
        "questions": questions_of(unit.id),
    }
