"""The counter: who is there, what they bring, and what came by mail."""

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.boards.queries import models, services
from shop.core import money
from shop.core.actor import Actor
from shop.core.profile import profile
from shop.floor.flows.intake import WriteUp, write_up
from shop.people.actions import add_customer
from shop.people.models import Customer
from shop.people.queries import customers
from shop.quotes.questions import open_questions
from shop.screens.http import act, given_uuid, page, staff_page
from shop.units import queries
from shop.units.actions import end_waiting, put_on_waiting_list
from shop.units.models import Announcement, Consent, Unit


@require_safe
@staff_page("units.write_up")
def counter(request: HttpRequest, _actor: Actor) -> HttpResponse:
    """Show how full the shop is, who waits, what is announced, and find units and customers."""
    return _counter(request)


def _counter(request: HttpRequest, reasons: Any = ()) -> HttpResponse:
    sought = request.GET.get("q", "")[:80]
    context = {
        "room": queries.room_left(),
        "announced": queries.open_announcements(),
        "waiting": queries.waiting_list(),
        "q": sought,
        "units": queries.search(sought, limit=20),
        "people": list(customers(sought)[:20]) if sought else [],
        "questions": open_questions()[:20],
        "channels": Customer.Channel.choices,
        "typed": request.POST,
    }
    return page(request, "screens/counter.html", context, reasons=reasons)


@require_POST
@staff_page("people.write_customer")
def new_customer(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Write down a customer and go on to their unit."""

    def perform(post: QueryDict) -> str:
        customer = add_customer(
            actor=actor,
            name=post.get("name", ""),
            email=post.get("email", ""),
            phone=post.get("phone", ""),
            channel=post.get("channel") or ("email" if post.get("email") else "none"),
            postal_address=post.get("postal_address", ""),
            notice_consent="notice_consent" in post,
        )
        return f"{reverse('screens:write-up')}?customer={customer.id}"

    return act(request, actor, perform, _counter)


@require_http_methods(["GET", "POST"])
@staff_page("units.write_up")
def write_up_unit(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Write up a unit for a customer, or the shop's own."""
    if request.method == "GET":
        return _write_up(request)

    def perform(post: QueryDict) -> str:
        unit = write_up(actor=actor, given=_given(post))
        return reverse("screens:unit", args=[unit.number])

    return act(request, actor, perform, _write_up)


def _given(post: QueryDict) -> WriteUp:
    """Read the form; the flow checks what it says."""
    shop = profile()
    limit = post.get("spending_limit", "").strip()
    customer_id, model_id = given_uuid(post, "customer"), given_uuid(post, "model")
    asked = Consent.Kind.values if customer_id and "consents_asked" in post else []
    return WriteUp(
        customer_id=customer_id,
        model_id=model_id or UUID(int=0),
        serial=post.get("serial", ""),
        complaint=post.get("complaint", ""),
        came_with=post.get("came_with", ""),
        condition=post.get("condition", ""),
        service_ids=tuple(UUID(value) for value in post.getlist("services") if _is_id(value)),
        by_mail="by_mail" in post,
        agreed=post.get("agreed", "nothing"),
        spending_limit_minor=money.read(
            limit, shop.currency, label="Spending limit", field="spending_limit", locale=shop.locale
        )
        if limit
        else 0,
        cable=post.get("cable", ""),
        display=post.get("display", ""),
        region=post.get("region", ""),
        earlier_unit_id=given_uuid(post, "earlier_unit"),
        announcement_code=post.get("announcement", ""),
        consents={kind: f"consent_{kind}" in post for kind in asked},
    )


def _is_id(text: str) -> bool:
    try:
        return bool(UUID(text))
    except ValueError:
        return False


def _write_up(request: HttpRequest, reasons: Any = ()) -> HttpResponse:
    typed: QueryDict = request.POST if request.method == "POST" else request.GET
    customer_id, model_id = given_uuid(typed, "customer"), given_uuid(typed, "model")
    shop = profile()
    announced = Announcement.objects.filter(code=typed.get("announcement", "")[:7]).first()
    earlier = (
        list(queries.seen_before(model_id=model_id, serial=typed.get("serial", "")))
        if model_id and typed.get("serial")
        else []
    )
    context = {
        "customer": Customer.objects.filter(pk=customer_id).first() if customer_id else None,
        "announced": announced,
        "models": models(),
        "services": services(),
        "agreements": Unit.Agreed.choices,
        "consents": [
            (Consent.Kind.SAVE_DATA, shop.terms_save_data),
            (Consent.Kind.PICTURES, shop.terms_pictures),
            (Consent.Kind.WORK, shop.terms_work),
        ],
        "typed": typed,
        "chosen": typed.getlist("services"),
        "earlier": earlier,
    }
    return page(request, "screens/write_up.html", context, reasons=reasons)


@require_POST
@staff_page("units.write_up")
def waiting(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Put somebody on the waiting list, or take them off it."""

    def perform(post: QueryDict) -> str:
        entry = given_uuid(post, "entry")
        if entry:
            end_waiting(actor=actor, waiting_id=entry)
        else:
            put_on_waiting_list(
                actor=actor,
                customer_id=given_uuid(post, "customer") or UUID(int=0),
                device=post.get("device", ""),
                text=post.get("words", ""),
            )
        return reverse("screens:counter")

    return act(request, actor, perform, _counter)
