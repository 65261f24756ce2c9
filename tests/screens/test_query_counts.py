"""Pages take as many queries for twelve of everything as for one."""

import io
from collections.abc import Callable
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shop.core import trail
from shop.core.actor import Actor
from shop.core.photos import add_photo
from shop.floor.demo.stock_in_trade import House
from shop.floor.flows.quote import send_quote
from shop.notices.models import Attempt, Envelope, Notice
from shop.parts.models import Part
from shop.people.models import Customer, DeviceToken, Place, User
from shop.planning.gathering import gather
from shop.planning.models import Plan, PlanUnit
from shop.planning.plans import by_rules
from shop.planning.solve_apart import Answer
from shop.planning.storing import Writer
from shop.quotes.actions import change_quote, draft_quote
from shop.quotes.models import QuoteVersion
from shop.quotes.operations import AddLine
from shop.testing.actions import add_test_point, record_free_reading
from shop.units import links
from shop.units.models import Announcement, Cost, Hold, Incident, Parcel, Unit, UnitPhoto, Waiting
from shop.units.steps import give_tag
from shop.work.models import FastenerGroup
from tests.screens.browsing import Browser
from tests.screens.conftest import At
from tests.screens.files import picture
from tests.screens.query_counts import QUERY_COUNTS

Fill = Callable[[int], dict[str, str]]


@pytest.fixture
def fill(house: House, unit_at: At, ada: Customer, jun: User, owner: Actor, helper: Actor) -> Fill:
    """Put so many of everything into the shop, and so many of everything to each of three units."""
    Place.objects.update(capacity=200)
    looked_at = {name: unit_at(where) for name, where in _LOOKED_AT.items()}
    quotes = {name: draft_quote(actor=helper, unit_id=unit.id) for name, unit in looked_at.items() if name != "pickup"}

    def more(count: int) -> dict[str, str]:
        for number in range(count):
            _into_the_shop(house, ada, jun, f"{count}-{number}")
            for unit in looked_at.values():
                _to_the_unit(house, unit, jun, owner, helper)
            for quote in quotes.values():
                line = AddLine(kind="labour", words="Polish", unit_minor=100, optional=number % 2 == 0)
                now = QuoteVersion.objects.get(pk=quote.pk).version
                change_quote(actor=helper, quote_id=quote.id, version=now, operations=[line])
            add_test_point(actor=owner, phase="open", name=f"Point {count}-{number}")
        return _addresses(looked_at, quotes, house, jun)

    return more


_LOOKED_AT = {"queue": "queue", "pickup": "pickup", "bench": "diagnosis"}


def _into_the_shop(house: House, ada: Customer, jun: User, mark: str) -> None:
    """One more unit on every stage, with a hold; one more customer, parcel, place, person, device and message."""
    model, bench = house.models["lantern"], house.benches[0]
    someone = Customer.objects.create(name=f"Quill {mark}", email="quill@post.example")
    last = Unit.objects.order_by("-number")[0].number
    stages: list[dict[str, Any]] = [
        {"stage": "intake"}, {"stage": "queue"}, {"stage": "queue", "agreed": "fee"}, {"stage": "pickup"},
        {"stage": "bench", "visit": "work", "technician": jun, "place": bench},
        {"stage": "testing", "visit": "work", "technician": jun, "place": bench},
    ]  # fmt: skip
    for offset, stage in enumerate(stages, start=1):
        unit = Unit.objects.create(number=last + offset, customer=someone, model=model, serial="SAME", **stage)
        give_tag(unit)
        unit.services.set(house.services.values())
        trail.write(unit, house.counter, "written_up", after="intake")
        if offset == 2:
            Hold.objects.create(unit=unit, kind="parts", words="a can")
    Waiting.objects.create(customer=someone, device="Lantern")
    Announcement.objects.create(name="Noor", email="noor@post.example", device="Lantern", complaint="Hums")
    Place.objects.create(name=f"Bench {mark}", kind="bench", capacity=9)
    person = User.objects.create(username=mark, name=f"Person {mark}", role="technician")
    DeviceToken.objects.create(user=person, name="Tablet", token_hash=mark)


def _to_the_unit(house: House, unit: Unit, jun: User, owner: Actor, helper: Actor) -> None:
    """One more of everything that hangs on a unit."""
    photo = add_photo(actor=helper, upload=io.BytesIO(picture().read()))
    Unit.objects.filter(pk=unit.pk).update(serial="SAME")
    UnitPhoto.objects.create(unit=unit, photo=photo, purpose="other")
    unit.findings.create(kind="smoke", photo=photo)
    Parcel.objects.create(unit=unit, direction="in", carrier="Coastal Post")
    Incident.objects.create(unit=unit, words="broke", offer="new", photo=photo)
    Cost.objects.create(unit=unit, words="cost", amount_minor=1)
    FastenerGroup.objects.create(unit=unit, where=uuid4().hex, kind="cross", out=2, back=2)
    unit.bags.create(kind="accessories")
    position = unit.steps.count() + 1
    unit.steps.create(code="clean", words="Clean", position=position, done_at=unit.created_at, done_by=jun)
    if unit.stage == "bench":
        record_free_reading(actor=house.technician, unit_id=unit.id, name="rail", quantity="V", value=Decimal(5))
    trail.write(unit, helper, "photo_added", note="words")
    for state in ("failed", "done"):
        envelope = Envelope.objects.create(address="ada@post.example", state=state, message_id=uuid4().hex)
        Notice.objects.create(envelope=envelope, unit=unit, event="received", key=uuid4().hex, recipient="ada")
        Attempt.objects.create(envelope=envelope, ok=False, words="no")


def _addresses(units: dict[str, Unit], quotes: dict[str, QuoteVersion], house: House, jun: User) -> dict[str, str]:
    return {
        "floor": "/",
        "counter": "/counter",
        "counter, searching": "/counter?q=quill",
        "write-up": f"/counter/write-up?model={house.models['lantern'].id}&serial=SAME",
        "bench": "/bench",
        "notices": "/notices",
        "shop": "/shop",
        "scan": "/scan",
        "place": f"/p/{house.benches[0].code}",
        "badge": f"/b/{jun.badge_code}",
        "unit at the bench": f"/units/{units['bench'].number}",
        "unit in the queue": f"/units/{units['queue'].number}",
        "unit in pickup": f"/units/{units['pickup'].number}",
        "quote": f"/quotes/{quotes['queue'].id}",
        "labels of a unit": f"/units/{units['bench'].number}/labels",
        "labels of the shop": "/shop/labels?as=A4",
        "library": "/library",
        "a part": f"/library/parts/{Part.objects.get_or_create(code='REG-9V', name='Regulator')[0].id}",
        "a service": f"/library/services/{house.services['recap'].id}",
        "somebody": f"/shop/people/{jun.id}",
        "a place to change": f"/shop/places/{house.benches[0].id}",
        "one's own account": "/me",
    }


def _count(browser: Client, address: str) -> int:
    with CaptureQueriesContext(connection) as caught:
        assert browser.get(address).status_code == 200, address
    return len(caught)


def test_it_takes_as_many_queries_for_twelve_as_for_one(fill: Fill, as_owner: Browser) -> None:
    one = {name: _count(as_owner, address) for name, address in fill(1).items()}
    twelve = {name: _count(as_owner, address) for name, address in fill(11).items()}
    assert twelve == one
    assert one == {name: QUERY_COUNTS[name] for name in one}


def _store_a_plan() -> None:
    """Plan by the rules alone, in this process: what counts here is how much there is to show."""
    gathered = gather()
    run = Plan.objects.create(starts_at=gathered.start, state=Plan.State.DONE)
    Writer(run, gathered).store(Answer(by_rules(gathered.facts), 0.1, last=True))


def test_it_takes_as_many_to_show_a_plan_of_many(fill: Fill, house: House, as_owner: Browser, jun: User) -> None:
    counts = []
    for number in (1, 11):
        fill(number)
        Unit.objects.filter(stage="queue").update(free_of_charge=True)
        _store_a_plan()
        unit = PlanUnit.objects.order_by("-pk")[0].unit
        addresses = {
            "plan": "/plan",
            "plan, one sheet": f"/plan/sheets/{jun.id}",
            "plan, one unit": f"/plan/units/{unit.number}",
            "plan, facts": "/plan/facts",
            "plan, flow": "/plan/flow",
            "plan, what if": "/plan/what-if",
        }
        counts.append({name: _count(as_owner, address) for name, address in addresses.items()})
    assert counts[0] == counts[1]
    assert counts[0] == {name: QUERY_COUNTS[name] for name in counts[0]}


def test_it_takes_as_many_for_a_customer_with_a_long_story(
    fill: Fill, house: House, owner: Actor, helper: Actor, jun: User
) -> None:
    fill(1)
    unit = Unit.objects.get(stage="queue", quotes__state="draft")
    customer = Client()
    link = links.open_link(unit)
    assert link is not None
    customer.cookies[settings.CUSTOMER_COOKIE_NAME] = links.token_of(link)
    addresses = {"customer's page": "/c/", "customer's page, its middle": f"/c/unit/{unit.number}/part"}
    _send(unit, helper)
    one = {name: _count(customer, address) for name, address in addresses.items()}
    fill_unit = Unit.objects.get(pk=unit.pk)
    for _ in range(11):
        _to_the_unit(house, fill_unit, jun, owner, helper)
    _send(unit, helper, lines=11)
    assert {name: _count(customer, address) for name, address in addresses.items()} == one
    assert one == {name: QUERY_COUNTS[name] for name in one}


def _send(unit: Unit, helper: Actor, lines: int = 0) -> None:
    quote = draft_quote(actor=helper, unit_id=unit.id)
    more = [AddLine(kind="labour", words=f"Polish {n}", unit_minor=100, optional=n % 2 == 0) for n in range(lines)]
    quote = change_quote(actor=helper, quote_id=quote.id, version=quote.version, operations=more)
    send_quote(actor=helper, quote_id=quote.id, version=quote.version)
