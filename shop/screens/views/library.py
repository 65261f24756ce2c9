"""The library: models, board revisions, parts and services, entered once and chosen from ever after."""

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.boards.actions import add_model, add_revision
from shop.boards.queries import models, services
from shop.boards.service_actions import add_service
from shop.core.actor import Actor
from shop.parts.actions import add_part, add_supplier
from shop.parts.queries import parts, suppliers
from shop.screens.http import act, given_uuid, no_such_act, page, staff_page
from shop.screens.verbs.common import given_money, given_number, needed_uuid


@require_safe
@staff_page("boards.see")
def library(request: HttpRequest, _actor: Actor) -> HttpResponse:
    """Show what the shop knows and offers."""
    return _library(request)


def _library(request: HttpRequest, reasons: Any = ()) -> HttpResponse:
    context = {
        "models": models().prefetch_related("revisions"),
        "services": services(),
        "parts": parts(),
        "suppliers": suppliers(),
        "typed": request.POST,
    }
    return page(request, "screens/library.html", context, reasons=reasons)


@require_POST
@staff_page("boards.see")
def library_do(request: HttpRequest, actor: Actor, what: str) -> HttpResponse:
    """Add a model, a revision, a part or a service."""

    def perform(post: QueryDict) -> str:
        if what not in ADD:
            raise no_such_act(what)
        ADD[what](actor, post)
        return reverse("screens:library")

    return act(request, actor, perform, _library)


def _model(actor: Actor, post: QueryDict) -> None:
    count = post.get("fastener_count", "").strip()
    add_model(
        actor=actor,
        maker=post.get("maker", ""),
        name=post.get("name", ""),
        mains_inside="mains_inside" in post,
        tube_inside="tube_inside" in post,
        battery_inside="battery_inside" in post,
        fastener_count=given_number(post, "fastener_count", "Number of fasteners") if count else None,
    )


def _revision(actor: Actor, post: QueryDict) -> None:
    model = needed_uuid(post, "model", "Model")
    add_revision(
        actor=actor, model_id=model, marking=post.get("marking", ""), how_to_tell=post.get("how_to_tell", "")
    )  # fmt: skip


def _part(actor: Actor, post: QueryDict) -> None:
    add_part(
        actor=actor,
        code=post.get("code", ""),
        name=post.get("name", ""),
        cost_minor=given_money(post, "cost", "Cost"),
        price_minor=given_money(post, "price", "Price"),
        supplier_id=given_uuid(post, "supplier"),
    )


def _supplier(actor: Actor, post: QueryDict) -> None:
    add_supplier(actor=actor, name=post.get("name", ""), lead_days=given_number(post, "lead_days", "Days to deliver"))


def _service(actor: Actor, post: QueryDict) -> None:
    part = given_uuid(post, "part")
    brought: dict[UUID | str, int] = {part: given_number(post, "quantity", "Quantity")} if part else {}
    add_service(
        actor=actor,
        code=post.get("code", ""),
        name=post.get("name", ""),
        says=post.get("says", ""),
        minutes=given_number(post, "minutes", "Minutes"),
        price_minor=given_money(post, "price", "Price"),
        asks_video="asks_video" in post,
        optional_extra="optional_extra" in post,
        steps=[line.strip() for line in post.get("steps", "").splitlines() if line.strip()],
        parts=brought,
    )


ADD = {"model": _model, "revision": _revision, "part": _part, "supplier": _supplier, "service": _service}
