"""The library grows by these: device models, board revisions, services. Money is minor units before tax."""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypedDict, Unpack
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from shop.boards.models import BoardRevision, DeviceModel, Service, ServicePart
from shop.core import trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock, save, unique
from shop.core.money import checked
from shop.core.reasons import Missing, Reason, Refused
from shop.core.retiring import retire
from shop.core.text import line, whole, words
from shop.parts.models import Part

_SERVICE_CODE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_MOST_FASTENERS = 500
_MOST_MINUTES = 10_000
_MOST_STEPS = 100
_MOST_PIECES = 1_000


def add_model(
    *,
    actor: Actor,
    maker: str,
    name: str,
    mains_inside: bool = False,
    tube_inside: bool = False,
    battery_inside: bool = False,
    fastener_count: int | None = None,
) -> DeviceModel:
    """Add a maker's model, as written on the case, and return it.

    The three flags decide which cautions its benches see; fastener_count is how many hold the case, when known.
    Raises Refused: `model_taken`, `out_of_range`, `blank`, `too_long`, `hidden_character`.
    """
    permit(actor, "boards.change")
    if fastener_count is not None:
        whole(fastener_count, low=0, high=_MOST_FASTENERS, label=_("Number of fasteners"), field="fastener_count")
    model = DeviceModel(
        maker=line(maker, label=_("Maker"), field="maker", limit=60),
        name=line(name, label=_("Name of the model"), field="name", limit=80),
        mains_inside=mains_inside,
        tube_inside=tube_inside,
        battery_inside=battery_inside,
        fastener_count=fastener_count,
    )
    with transaction.atomic():
        with unique(Reason("model_taken", {"maker": model.maker, "name": model.name}, "name")):
            model.save(force_insert=True)
        facts = {"mains_inside": mains_inside, "tube_inside": tube_inside, "battery_inside": battery_inside}
        trail.write(model, actor, "model_added", after=model.name, facts=facts)
    return model


def add_revision(*, actor: Actor, model_id: UUID | str, marking: str, how_to_tell: str = "") -> BoardRevision:
    """Add a version of a model's board, with what tells it from the others, and return it.

    Raises Missing, Refused: `revision_taken`, `blank`, `too_long`, `hidden_character`.
    """
    permit(actor, "boards.change")
    with transaction.atomic():
        model = lock(DeviceModel, pk=model_id)
        revision = BoardRevision(
            model=model,
            marking=line(marking, label=_("Marking of the board"), field="marking", limit=60),
            how_to_tell=words(how_to_tell, label=_("How to tell it"), field="how_to_tell", required=False),
        )
        with unique(Reason("revision_taken", {"model": str(model), "marking": revision.marking}, "marking")):
            revision.save(force_insert=True)
        trail.write(revision, actor, "revision_added", after=revision.marking, facts={"model": model.id})
    return revision


def add_service(
    *,
    actor: Actor,
    code: str,
    name: str,
    says: str = "",
    minutes: int = 30,
    price_minor: int = 0,
    asks_video: bool = False,
    optional_extra: bool = False,
    steps: Sequence[str] = (),
    parts: Mapping[UUID | str, int] | None = None,
) -> Service:
    """Add work that the shop offers and return it.

    code is what programs call it (small letters, digits, hyphens); says tells the customer what it is; minutes is
    hands-on time at the bench; steps are the work in order; parts maps part ids to how many of each it brings.
    Raises Missing for an unknown part, Refused: `service_code_malformed`, `service_code_taken`, `negative_money`,
    `out_of_range`, `blank`, `too_long`, `hidden_character`.
    """
    permit(actor, "boards.change")
    service = Service(
        code=_service_code(code),
        name=_service_name(name),
        says=_says(says),
        minutes=_minutes(minutes),
        price_minor=_price(price_minor),
        asks_video=asks_video,
        optional_extra=optional_extra,
        steps=_steps(steps),
    )
    with transaction.atomic():
        with unique(Reason("service_code_taken", {"code": service.code}, "code")):
            service.save(force_insert=True)
        brought = _bring(service, parts or {})
        facts = {"minutes": minutes, "price_minor": price_minor, "parts": brought}
        trail.write(service, actor, "service_added", after=service.code, facts=facts)
    return service


class ServiceFields(TypedDict, total=False):
    """What can be changed of a service. Its code stays: programs know it by that."""

    name: str
    says: str
    minutes: int
    price_minor: int
    asks_video: bool
    optional_extra: bool
    steps: Sequence[str]


def change_service(*, actor: Actor, service_id: UUID | str, version: int, **fields: Unpack[ServiceFields]) -> Service:
    """Change the given fields of a service and return it. Raises Missing, Stale, and Refused as `add_service` does.

    Quotes that were sent and job sheets that were made keep what they were made with.
    """
    permit(actor, "boards.change")
    with transaction.atomic():
        service = lock(Service, pk=service_id, version=version)
        given: dict[str, Any] = {name: _CHECKED[name](value) for name, value in fields.items()}
        changed = [name for name, value in given.items() if getattr(service, name) != value]
        for name in changed:
            setattr(service, name, given[name])
        if changed:
            save(service, *changed)
            facts = {"fields": sorted(changed), "minutes": service.minutes, "price_minor": service.price_minor}
            trail.write(service, actor, "service_changed", facts=facts)
    return service


def retire_service(*, actor: Actor, service_id: UUID | str, version: int) -> Service:
    """Stop offering a service and return it; units that have it keep it. Twice is once. Raises Missing, Stale."""
    permit(actor, "boards.change")
    with transaction.atomic():
        service = lock(Service, pk=service_id, version=version)
        retire(service, actor, "service_retired", before=service.code)
    return service


def retire_model(*, actor: Actor, model_id: UUID | str) -> DeviceModel:
    """Take a model off the list and return it; units of it keep it. Twice is once. Raises Missing."""
    permit(actor, "boards.change")
    with transaction.atomic():
        model = lock(DeviceModel, pk=model_id)
        retire(model, actor, "model_retired", before=model.name)
    return model


def set_service_parts(
    *, actor: Actor, service_id: UUID | str, version: int, parts: Mapping[UUID | str, int]
) -> Service:
    """Say which parts a service brings and how many of each, in place of what was said before; return the service.

    parts maps part ids to quantities (1 to 1000). Raises Missing, Stale, Refused (`out_of_range`). Quotes that were
    written keep their lines.
    """
    permit(actor, "boards.change")
    with transaction.atomic():
        service = lock(Service, pk=service_id, version=version)
        ServicePart.objects.filter(service=service).delete()
        brought = _bring(service, parts)
        save(service)
        trail.write(service, actor, "service_parts_set", facts={"parts": brought})
    return service


def _service_code(typed: str) -> str:
    code = line(typed, label=_("Code of the service"), field="code", limit=30)
    if not _SERVICE_CODE.fullmatch(code):
        raise Refused(Reason("service_code_malformed", {"given": code}, "code"))
    return code


def _service_name(typed: str) -> str:
    return line(typed, label=_("Name of the service"), field="name", limit=80)


def _says(typed: str) -> str:
    return words(typed, label=_("What it is"), field="says", required=False)


def _minutes(given: int) -> int:
    return whole(given, low=1, high=_MOST_MINUTES, label=_("Minutes"), field="minutes")


def _price(minor: int) -> int:
    return checked(minor, label=_("Price"), field="price_minor")


def _steps(listed: Sequence[str]) -> list[str]:
    whole(len(listed), low=0, high=_MOST_STEPS, label=_("Number of steps"), field="steps")
    return [line(step, label=_("Step"), field="steps", limit=200) for step in listed]


_CHECKED: dict[str, Callable[[Any], Any]] = {
    "name": _service_name,
    "says": _says,
    "minutes": _minutes,
    "price_minor": _price,
    "asks_video": bool,
    "optional_extra": bool,
    "steps": _steps,
}


def _bring(service: Service, parts: Mapping[UUID | str, int]) -> dict[str, int]:
    """Write the parts of a service that has none, and return code → quantity, for the trail."""
    brought: dict[UUID, ServicePart] = {}
    for part_id, quantity in sorted(parts.items(), key=lambda item: str(item[0])):
        part = lock(Part, pk=part_id)
        if part.retired_at is not None:
            raise Missing(Reason("missing", {"thing": str(Part._meta.verbose_name), "sought": part.code}, "parts"))
        whole(quantity, low=1, high=_MOST_PIECES, label=_("Quantity of {code}").format(code=part.code), field="parts")
        brought[part.pk] = ServicePart(service=service, part=part, quantity=quantity)
    ServicePart.objects.bulk_create(brought.values())
    return {row.part.code: row.quantity for row in brought.values()}
