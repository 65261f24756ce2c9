"""Ada's lantern, what its services bring, and quotes in each state."""

from collections.abc import Callable
from typing import TypeVar
from uuid import UUID

import pytest
from django.db import transaction

from shop.boards.models import DeviceModel, Service, ServicePart
from shop.core.actor import Actor, Role
from shop.core.locks import lock
from shop.core.models import TrailEntry
from shop.parts.models import Part
from shop.people.models import Customer
from shop.quotes import actions, content, steps
from shop.quotes.models import Decision, QuoteLine, QuoteVersion
from shop.quotes.old_forms import read_back
from shop.units.models import Unit

T = TypeVar("T")


def in_flow(step: Callable[..., T], unit_id: UUID, **facts: object) -> T:
    """Call a step as a flow does: in one transaction, the unit locked."""
    with transaction.atomic():
        return step(unit=lock(Unit, pk=unit_id), **facts)


def send(quote: QuoteVersion, actor: Actor) -> QuoteVersion:
    quote.refresh_from_db()
    return in_flow(steps.send, quote.unit_id, actor=actor, quote_id=quote.id, version=quote.version)


def decide(quote: QuoteVersion, actor: Actor, *, approve: bool = True, taken: object = (), **facts: object) -> Decision:
    """Answer as somebody does who has read everything: with a yes to each term that asks for one."""
    asked = [term["code"] for term in read_back(quote.content)["terms"] if term["asks"]] if quote.content else []
    facts = {"shown_sha256": quote.content_sha256, "agreed": asked, **facts}
    return in_flow(
        steps.decide, quote.unit_id, actor=actor, quote_id=quote.id, approve=approve, taken_line_ids=taken, **facts
    )


def optional_ids(quote: QuoteVersion) -> list[UUID]:
    return list(quote.lines.filter(optional=True).values_list("id", flat=True))


def line(quote: QuoteVersion, **wanted: object) -> QuoteLine:
    return quote.lines.get(**wanted)


def trail_of(unit: Unit) -> list[str]:
    return list(TrailEntry.objects.filter(subject_id=unit.id).order_by("seq").values_list("what", flat=True))


def evidence_holds(decision: Decision) -> bool:
    return content.sha256(decision.content) == decision.content_sha256


@pytest.fixture
def customer() -> Actor:
    """Ada, through her private link."""
    return Actor(role=Role.CUSTOMER, id="link-of-ada", address="198.51.100.9")


@pytest.fixture
def wished(recap: Service, video_board: Service) -> list[Service]:
    """A recap with 12 capacitors at 0.45, and a video board (a part of 38.00) as an optional extra."""
    capacitor = Part.objects.create(code="CAP-100-16", name="Capacitor 100 µF 16 V", price_minor=45)
    board = Part.objects.create(code="VID-1", name="Video board", price_minor=3800)
    ServicePart.objects.create(service=recap, part=capacitor, quantity=12)
    ServicePart.objects.create(service=video_board, part=board, quantity=1)
    return [recap, video_board]


@pytest.fixture
def unit(ada: Customer, lantern: DeviceModel, wished: list[Service]) -> Unit:
    """Unit 0042, Ada's, here for a recap and perhaps a video board; the diagnosis fee was agreed."""
    unit = Unit.objects.create(
        number=42, customer=ada, model=lantern, complaint="No sound", agreed=Unit.Agreed.FEE, agreed_fee_minor=2500
    )
    unit.services.set(wished)
    return unit


@pytest.fixture
def draft(unit: Unit, helper: Actor) -> QuoteVersion:
    return actions.draft_quote(actor=helper, unit_id=unit.id)


@pytest.fixture
def sent(draft: QuoteVersion, helper: Actor) -> QuoteVersion:
    return send(draft, helper)
