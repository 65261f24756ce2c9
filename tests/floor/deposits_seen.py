"""What is seen of a unit that waits for its deposit, and how it is paid."""

from shop.books.deposits import open_request
from shop.core.reasons import Reason
from shop.floor.customer_view import CustomerView, view_of
from shop.floor.demo.journeys import Journey
from shop.floor.flows import money, quote
from shop.floor.gates import offers_for
from shop.floor.stages import Move
from shop.notices.models import Notice
from shop.notices.rendering import render
from shop.planning.gathering import gather
from shop.quotes.actions import change_quote, draft_quote
from shop.quotes.operations import AddLine
from shop.units import queries
from shop.units.models import Hold
from tests.floor.conftest import now


def holds(journey: Journey) -> list[str]:
    return list(Hold.objects.filter(unit=journey.unit, lifted_at=None).values_list("kind", flat=True))


def left_out(journey: Journey) -> Reason | None:
    return next((work.reason for work in gather().waiting if work.unit.pk == journey.unit.pk), None)


def left_minor(journey: Journey) -> int:
    asked = open_request(journey.unit.pk)
    return asked.left_minor if asked else 0


def pay(journey: Journey, amount_minor: int) -> None:
    money.take_payment(
        actor=journey.house.counter, unit_id=journey.unit.id, amount_minor=amount_minor, method="cash"
    )  # fmt: skip


def seen(journey: Journey) -> CustomerView:
    return view_of(queries.one(journey.unit.id))


def ringed(journey: Journey) -> list[str]:
    return [mark.stop.label for mark in seen(journey).trace.marks if mark.now]


def told(journey: Journey, event: str) -> str:
    """Return the words of the one message of a kind."""
    return render(Notice.objects.get(unit=journey.unit, event=event).envelope).text


def refusals(journey: Journey) -> list[str]:
    offer = next(offer for offer in offers_for(now(journey)) if offer.move == Move.START_WORK)
    return [reason.code for reason in offer.reasons]


def offer_more(journey: Journey) -> None:
    draft = draft_quote(actor=journey.house.counter, unit_id=journey.unit.id)
    more = AddLine(kind="part", words="Power switch", unit_minor=1200)
    draft = change_quote(actor=journey.house.counter, quote_id=draft.id, version=draft.version, operations=[more])
    quote.send_quote(actor=journey.house.counter, quote_id=draft.id, version=draft.version)
