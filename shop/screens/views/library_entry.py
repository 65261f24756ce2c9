"""One entry of the library: a part or a service, to change it or to take it off the list."""

from functools import partial
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.boards.models import Service
from shop.boards.service_actions import Wire, change_service, retire_service, set_service_parts
from shop.core.actor import Actor
from shop.core.reasons import Reason, Refused
from shop.core.rows import existing
from shop.parts.actions import change_part, retire_part
from shop.parts.models import Part
from shop.parts.queries import parts, suppliers
from shop.screens.http import act, given_uuid, given_version, no_such_act, page, staff_page
from shop.screens.verbs.common import given_list, given_money, given_number

_WIRE_CELLS = 4


@require_safe
@staff_page("boards.see")
def part(request: HttpRequest, _actor: Actor, part_id: UUID) -> HttpResponse:
    """Show a part."""
    return _part(request, part_id)


def _part(request: HttpRequest, part_id: UUID, reasons: Any = ()) -> HttpResponse:
    found = existing(Part, part_id)
    context = {"part": found, "suppliers": suppliers(), "typed": request.POST}
    return page(request, "screens/part.html", context, reasons=reasons)


@require_POST
@staff_page("parts.change")
def part_do(request: HttpRequest, actor: Actor, part_id: UUID, verb: str) -> HttpResponse:
    """Change a part, or take it off the list."""

    def perform(post: QueryDict) -> str:
        version = given_version(post) or 0
        if verb == "change":
            change_part(
                actor=actor,
                part_id=part_id,
                version=version,
                name=post.get("name", ""),
                supplier_id=given_uuid(post, "supplier"),
                cost_minor=given_money(post, "cost", "Cost"),
                price_minor=given_money(post, "price", "Price"),
                reorder_at=given_number(post, "reorder_at", "Order more at"),
            )
        elif verb == "retire":
            retire_part(actor=actor, part_id=part_id, version=version)
        else:
            raise no_such_act(verb)
        return reverse("screens:library")

    return act(request, actor, perform, partial(_part, part_id=part_id))


@require_safe
@staff_page("boards.see")
def service(request: HttpRequest, _actor: Actor, service_id: UUID) -> HttpResponse:
    """Show a service, with the parts that it brings."""
    return _service(request, service_id)


def _service(request: HttpRequest, service_id: UUID, reasons: Any = ()) -> HttpResponse:
    found = existing(Service.objects.prefetch_related("parts__part"), service_id)
    context = {"service": found, "parts": parts(), "typed": request.POST}
    context["natures"] = Service.Nature.choices
    return page(request, "screens/service.html", context, reasons=reasons)


@require_POST
@staff_page("boards.change")
def service_do(request: HttpRequest, actor: Actor, service_id: UUID, verb: str) -> HttpResponse:
    """Change a service or the parts that it brings, or take it off the list."""

    def perform(post: QueryDict) -> str:
        version = given_version(post) or 0
        if verb == "change":
            change_service(actor=actor, service_id=service_id, version=version, **_changes(post))
        elif verb == "parts":
            set_service_parts(actor=actor, service_id=service_id, version=version, parts=_brought(post))
        elif verb == "retire":
            retire_service(actor=actor, service_id=service_id, version=version)
        else:
            raise no_such_act(verb)
        stays = verb == "parts"
        return reverse("screens:service", args=[service_id]) if stays else reverse("screens:library")

    return act(request, actor, perform, partial(_service, service_id=service_id))


def _changes(post: QueryDict) -> Any:
    return {
        "name": post.get("name", ""),
        "says": post.get("says", ""),
        "minutes": given_number(post, "minutes", "Minutes"),
        "price_minor": given_money(post, "price", "Price"),
        "asks_video": "asks_video" in post,
        "optional_extra": "optional_extra" in post,
        "nature": post.get("nature", Service.Nature.OTHER),
        "minutes_spread": given_number(post, "minutes_spread", "Spread")
        if post.get("minutes_spread", "").strip()
        else 0,
        "selects": given_list(post, "selects"),
        "cuts": given_list(post, "cuts"),
        "wires": _wires(post.get("wires", "")),
        "skill": post.get("skill", ""),
        "equipment": given_list(post, "equipment"),
        "cautions": post.get("cautions", ""),
        "steps": [line.strip() for line in post.get("steps", "").splitlines() if line.strip()],
    }


def _wires(typed: str) -> list[Wire]:
    """Read wires, one a line: colour; length in mm; from; to. Raises Refused with `wire_unreadable`."""
    wires: list[Wire] = []
    for said in (line.strip() for line in typed.splitlines() if line.strip()):
        cells = [cell.strip() for cell in said.split(";")]
        if len(cells) != _WIRE_CELLS or not cells[1].isascii() or not cells[1].isdigit() or len(cells[1]) > 5:
            raise Refused(Reason("wire_unreadable", {"given": said[:60]}, "wires"))
        wires.append({"colour": cells[0], "length_mm": int(cells[1]), "start": cells[2], "end": cells[3]})
    return wires


def _brought(post: QueryDict) -> dict[UUID | str, int]:
    """Read how many of each part the service brings: `of-<part id>`; a blank or 0 brings none. And a part added."""
    listed = [name.removeprefix("of-") for name in post if name.startswith("of-")]
    brought: dict[UUID | str, int] = {}
    for part_id in listed:
        quantity = given_number(post, f"of-{part_id}", "Quantity") if post.get(f"of-{part_id}", "").strip() else 0
        if quantity:
            brought[part_id] = quantity
    if added := given_uuid(post, "part"):
        brought[str(added)] = given_number(post, "quantity", "Quantity")
    return brought
