"""The work that the shop offers, and how it changes. Money is minor units before tax."""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypedDict, Unpack
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from shop.boards.models import Service, ServicePart
from shop.boards.selecting import KINDS
from shop.core import duework, trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock, save, unique
from shop.core.money import checked
from shop.core.reasons import Reason, Refused
from shop.core.retiring import retire
from shop.core.rows import no_such
from shop.core.text import choice, line, whole, words
from shop.parts.models import Part

_SERVICE_CODE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_DESIGNATOR_OR_STAR = re.compile(r"[A-Z*][A-Z0-9*-]{0,11}")
_MOST_MINUTES = 10_000
_MOST_STEPS = 100
_MOST_PIECES = 1_000
# What a plan is made from, and what it shows of it.
_PLANNED_BY = {"name", "minutes", "minutes_spread", "skill", "equipment"}


class Wire(TypedDict):
    """A wire that a service brings: its colour, its length in millimetres, and the points it runs between."""

    colour: str
    length_mm: int
    start: str
    end: str


class ServiceFields(TypedDict, total=False):
    """What a service has besides its code, which stays: programs know it by that.

    says tells the customer what it is; minutes is hands-on time at the bench, minutes_spread how far that may be out;
    steps are the work in order; nature is a value of `Service.Nature`; selects are the placements it is about, each a
    kind or a designator in which * stands for any signs; cuts are designators whose leg it shortens; skill and
    equipment are what it needs; cautions stand beside its steps.
    """

    name: str
    says: str
    minutes: int
    minutes_spread: int
    price_minor: int
    asks_video: bool
    optional_extra: bool
    steps: Sequence[str]
    nature: str
    selects: Sequence[str]
    cuts: Sequence[str]
    wires: Sequence[Wire]
    skill: str
    equipment: Sequence[str]
    cautions: str


def add_service(
    *, actor: Actor, code: str, parts: Mapping[UUID | str, int] | None = None, **fields: Unpack[ServiceFields]
) -> Service:
    """Add work that the shop offers and return it.

    code is what programs call it (small letters, digits, hyphens); parts maps part ids to how many of each it brings.
    Raises Missing for an unknown part, Refused: `service_code_malformed`, `service_code_taken`, `negative_money`,
    `out_of_range`, `blank`, `too_long`, `hidden_character`, `not_a_choice`, `designator_malformed`, `spread_too_wide`.
    """
    permit(actor, "boards.change")
    given = {name: _CHECKED[name](value) for name, value in ({"name": ""} | dict(fields)).items()}
    service = Service(code=_service_code(code), **given)
    _refuse_wide_spread(service)
    with transaction.atomic():
        with unique(Reason("service_code_taken", {"code": service.code}, "code")):
            service.save(force_insert=True)
        brought = _bring(service, parts or {})
        facts = {"minutes": service.minutes, "price_minor": service.price_minor, "parts": brought}
        trail.write(service, actor, "service_added", after=service.code, facts=facts)
    return service


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
        _refuse_wide_spread(service)
        if changed:
            save(service, *changed)
            facts = {"fields": sorted(changed), "minutes": service.minutes, "price_minor": service.price_minor}
            trail.write(service, actor, "service_changed", facts=facts)
            if _PLANNED_BY & {*changed}:
                duework.plan_anew()
    return service


def retire_service(*, actor: Actor, service_id: UUID | str, version: int) -> Service:
    """Stop offering a service and return it; units that have it keep it. Twice is once. Raises Missing, Stale."""
    permit(actor, "boards.change")
    with transaction.atomic():
        service = lock(Service, pk=service_id, version=version)
        retire(service, actor, "service_retired", before=service.code)
    return service


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


def _refuse_wide_spread(service: Service) -> None:
    if service.minutes_spread and service.minutes_spread >= service.minutes:
        facts = {"minutes": service.minutes, "spread": service.minutes_spread}
        raise Refused(Reason("spread_too_wide", facts, "minutes_spread"))


def _steps(listed: Sequence[str]) -> list[str]:
    whole(len(listed), low=0, high=_MOST_STEPS, label=_("Number of steps"), field="steps")
    return [line(step, label=_("Step"), field="steps", limit=200) for step in listed]


def _selects(listed: Sequence[str]) -> list[str]:
    """Return a rule's words: kinds as they are, designators tidied. Raises Refused with `designator_malformed`."""
    return [word if word in KINDS else _designator(word, "selects") for word in _some_words(listed, "selects")]


def _designator(typed: str, field: str) -> str:
    if not _DESIGNATOR_OR_STAR.fullmatch(typed.upper()):
        raise Refused(Reason("designator_malformed", {"given": typed[:20] or "–"}, field))
    return typed.upper()


def _cuts(listed: Sequence[str]) -> list[str]:
    return [_designator(word, "cuts") for word in _some_words(listed, "cuts")]


def _some_words(listed: Sequence[str], field: str) -> list[str]:
    whole(len(listed), low=0, high=_MOST_STEPS, label=_("Number of words"), field=field)
    return [line(word, label=_("Word"), field=field, limit=60) for word in listed]


def _wires(listed: Sequence[Wire]) -> list[dict[str, object]]:
    whole(len(listed), low=0, high=_MOST_STEPS, label=_("Number of wires"), field="wires")
    return [
        {
            "colour": line(wire["colour"], label=_("Colour of the wire"), field="wires", limit=30),
            "length_mm": whole(wire["length_mm"], low=1, high=2000, label=_("Length of the wire"), field="wires"),
            "start": line(wire["start"], label=_("Start of the wire"), field="wires", limit=60),
            "end": line(wire["end"], label=_("End of the wire"), field="wires", limit=60),
        }
        for wire in listed
    ]


_CHECKED: dict[str, Callable[[Any], Any]] = {
    "name": lambda typed: line(typed, label=_("Name of the service"), field="name", limit=80),
    "says": lambda typed: words(typed, label=_("What it is"), field="says", required=False),
    "minutes": lambda given: whole(given, low=1, high=_MOST_MINUTES, label=_("Minutes"), field="minutes"),
    "minutes_spread": lambda given: whole(given, low=0, high=_MOST_MINUTES, label=_("Spread"), field="minutes_spread"),
    "price_minor": lambda minor: checked(minor, label=_("Price"), field="price_minor"),
    "asks_video": bool,
    "optional_extra": bool,
    "steps": _steps,
    "nature": lambda given: choice(given, Service.Nature.values, label=_("Sort of work"), field="nature"),
    "selects": _selects,
    "cuts": _cuts,
    "wires": _wires,
    "skill": lambda typed: line(typed, label=_("Skill"), field="skill", limit=60, required=False),
    "equipment": lambda listed: _some_words(listed, "equipment"),
    "cautions": lambda typed: words(typed, label=_("Cautions"), field="cautions", limit=300, required=False),
}


def _bring(service: Service, parts: Mapping[UUID | str, int]) -> dict[str, int]:
    """Write the parts of a service that has none, and return code → quantity, for the trail."""
    brought: dict[UUID, ServicePart] = {}
    for part_id, quantity in sorted(parts.items(), key=lambda item: str(item[0])):
        part = lock(Part, pk=part_id)
        if part.retired_at is not None:
            raise no_such(Part, part.code, "parts")
        whole(quantity, low=1, high=_MOST_PIECES, label=_("Quantity of {code}").format(code=part.code), field="parts")
        brought[part.pk] = ServicePart(service=service, part=part, quantity=quantity)
    ServicePart.objects.bulk_create(brought.values())
    return {row.part.code: row.quantity for row in brought.values()}
