"""What a plan is made from, and actions on the house of the demo that change it or leave it alone."""

from collections.abc import Callable
from typing import Any
from uuid import UUID

from shop.boards import service_actions as services
from shop.boards.models import BoardRevision
from shop.books.deposits import open_request
from shop.books.models import PaymentRequest
from shop.core.duework import CHANGED, REPLAN
from shop.core.models import DueWork
from shop.floor.demo.journeys import Journey
from shop.floor.demo.stock_in_trade import SOAK
from shop.floor.flows import days, intake, money, quote, testing
from shop.floor.flows.intake import WriteUp
from shop.people import actions as people
from shop.people.models import Place, User
from shop.planning.gathering import gather
from shop.planning.models import Shift
from shop.quotes.models import Decision, QuoteVersion
from shop.quotes.queries import draft_of, present_quote
from shop.testing.models import TestPoint
from shop.units import actions as units
from shop.units.actions import Spotted
from shop.units.models import Finding
from shop.work import actions as work
from shop.work.models import JobStep
from shop.work.queries import open_steps

Act = Callable[[Journey], object]


def rings(act: Callable[[], object]) -> bool:
    """Tell whether an action asks for a new plan, once."""
    DueWork.objects.all().delete()
    act()
    return DueWork.objects.filter(task=REPLAN, subject=CHANGED, state="due").count() == 1


def read() -> tuple[object, ...]:
    """Return all that a plan is made from, and what it says of units that it leaves out."""
    found = gather()
    works = [*found.works.values(), *found.waiting]
    return (
        found.facts,
        found.spans,
        found.calendars,
        [(w.unit.pk, w.pieces, w.parts_due, w.worked_by, w.at_bench, w.pinned, w.first, w.reason) for w in works],
        [(w.unit.promised_on, w.comeback) for w in works],
        (found.shop.promise_percent, found.shop.time_zone),
    )


def at_bench(j: Journey) -> dict[str, Any]:
    return {"actor": j.house.technician, "unit_id": j.unit.id}


def at_counter(j: Journey) -> dict[str, Any]:
    return {"actor": j.house.counter, "unit_id": j.unit.id}


def by_owner(j: Journey) -> dict[str, Any]:
    j.unit.refresh_from_db()
    return {"actor": j.house.owner, "unit_id": j.unit.id, "version": j.unit.version}


def jun(j: Journey) -> dict[str, Any]:
    return {"actor": j.house.owner, "technician_id": UUID(j.house.technician.id)}


def person(j: Journey, username: str) -> dict[str, Any]:
    return {"actor": j.house.owner, "user_id": User.objects.get(username=username).id}


def quote_of(j: Journey) -> dict[str, Any]:
    asked = present_quote(j.unit.id)
    assert asked is not None
    return {"actor": j.house.counter, "quote_id": asked.id}


def go_ahead(j: Journey) -> object:
    draft = draft_of(j.unit.id)
    assert draft is not None
    return quote.go_ahead(actor=j.house.counter, quote_id=draft.id)


def approved_quote(j: Journey) -> UUID:
    return QuoteVersion.objects.get(unit=j.unit, state="approved").id


def asked(j: Journey) -> UUID:
    return PaymentRequest.objects.get(unit=j.unit).id


def wish_of(j: Journey) -> DueWork:
    """Wish for the unit's day anew: what else was wished for is gone."""
    return days.wish_approved(Decision.objects.get(quote=approved_quote(j)))


def shelf(name: str) -> UUID:
    return Place.objects.get(name=name).id


def soak() -> UUID:
    return TestPoint.objects.get(name=SOAK).id


def revision(marking: str) -> UUID:
    return BoardRevision.objects.get(marking=marking).id


def find(j: Journey, repair: str) -> object:
    return units.add_finding(**at_bench(j), kind="broken_trace", spotted=Spotted(repair=repair, minutes=25))


def settle(j: Journey) -> object:
    found = Finding.objects.get(unit=j.unit)
    return units.settle_finding(actor=j.house.technician, finding_id=found.id, text="Bridged it")


def tick_repair(j: Journey) -> Journey:
    codes = [step.code for step in open_steps(j.unit)]
    return j.ticks(codes.index("repair") + 1)


def untick_repair(j: Journey) -> object:
    step = JobStep.objects.get(unit=j.unit, code="repair", retired_at=None)
    return work.untick(**at_bench(j), step_id=step.id)


def recap(j: Journey, **fields: Any) -> object:
    known = j.house.services["recap"]
    return services.change_service(actor=j.house.owner, service_id=known.id, version=known.version, **fields)


def retire_recap(j: Journey) -> object:
    known = j.house.services["recap"]
    return services.retire_service(actor=j.house.owner, service_id=known.id, version=known.version)


def change_bench(j: Journey, **fields: Any) -> object:
    place = j.house.benches[0]
    return people.change_place(actor=j.house.owner, place_id=place.id, version=place.version, **fields)


def add_place(j: Journey, kind: str) -> object:
    return people.add_place(actor=j.house.owner, name="Next door", kind=kind, capacity=1)


def retire(j: Journey, place: Place) -> object:
    return people.retire_place(
        actor=j.house.owner, place_id=place.id, version=place.version, units_there=lambda _place: 0
    )


def add_person(j: Journey, role: str) -> object:
    return people.add_staff(
        actor=j.house.owner, username="mara", name="Mara Quist", role=role, password="a long wick burns slow"
    )


def pay(j: Journey, *, short_by: int = 0) -> object:
    asked = open_request(j.unit.id)
    assert asked is not None
    return money.take_payment(**at_counter(j), amount_minor=asked.left_minor - short_by, method="cash")


def give_back(j: Journey, amount_minor: int) -> object:
    return money.give_back(
        actor=j.house.owner, unit_id=j.unit.id, amount_minor=amount_minor, method="cash", reason="They asked for it"
    )


def write_up(j: Journey) -> object:
    given = WriteUp(customer_id=j.unit.customer_id, model_id=j.unit.model_id, complaint="No sound")
    return intake.write_up(actor=j.house.counter, given=given)


def hand_back(j: Journey) -> object:
    """Recall, so that a unit that is ready is tested once more."""
    return testing.recall(**at_bench(j), text="The picture rolls")


def shift_of(j: Journey) -> UUID:
    return Shift.objects.filter(technician_id=j.house.technician.id).earliest("created_at").id
