"""Money that sets work going, a deposit that arrives or is waived, and money back that leaves a unit waiting."""

from uuid import UUID

from django.db import transaction

from shop.books import actions as books
from shop.books import deposits
from shop.books.deposits import OpenDeposit
from shop.books.models import Payment, PaymentRequest
from shop.core.actor import Actor, permit
from shop.core.locks import lock
from shop.floor.flows import days
from shop.notices import steps as notices
from shop.planning import steps as planning
from shop.units.models import Unit


def take_payment(*, actor: Actor, unit_id: UUID, amount_minor: int, method: str, reference: str = "") -> Payment:
    """Take money for a unit; where that covers its deposit, promise a date and tell the customer.

    Inputs and what is raised are those of `books.actions.take_payment`.
    """
    permit(actor, "books.take_payment")
    with transaction.atomic():
        unit = lock(Unit, pk=unit_id)
        asked = deposits.open_request(unit_id)
        payment = books.take_payment(
            actor=actor, unit_id=unit_id, amount_minor=amount_minor, method=method, reference=reference
        )
        covered = asked and deposits.open_request(unit_id) is None
        wish = days.wish_deposit(asked.request) if asked and covered and unit.before_bench else None
    days.name(wish, actor=actor)
    return payment


def give_back(
    *, actor: Actor, unit_id: UUID, amount_minor: int, method: str, reason: str, reference: str = ""
) -> Payment:
    """Give money back; a unit before the bench whose deposit is then not covered any more waits for it again.

    Inputs and what is raised are those of `books.actions.give_back`.
    """
    permit(actor, "books.give_back")
    with transaction.atomic():
        unit = lock(Unit, pk=unit_id)
        waited = deposits.open_request(unit_id)
        payment = books.give_back(
            actor=actor, unit_id=unit_id, amount_minor=amount_minor, method=method, reason=reason, reference=reference
        )
        asked = None if waited else deposits.open_request(unit_id)
        if asked and unit.before_bench:
            _wait_again(unit, actor, asked)
    return payment


def _wait_again(unit: Unit, actor: Actor, asked: OpenDeposit) -> None:
    """Take back the date, which nobody can keep before the money is here, and say what is missing."""
    planning.withdraw_promise(actor=actor, unit=unit)
    facts: dict[str, object] = {
        "deposit_minor": asked.left_minor,
        "total_minor": asked.request.quote.decision.total_minor,
        "given_back": True,
    }
    notices.tell(event="deposit_asked", unit=unit, key=str(asked.request.id), facts=facts)


def waive_deposit(*, actor: Actor, unit_id: UUID, reason: str) -> PaymentRequest:
    """Let work begin without the deposit: promise a date and tell the customer. Raises as `deposits.waive_deposit`."""
    permit(actor, "books.waive_deposit")
    with transaction.atomic():
        unit = lock(Unit, pk=unit_id)
        asked = deposits.waive_deposit(actor=actor, unit_id=unit_id, reason=reason)
        wish = days.wish_deposit(asked) if unit.before_bench else None
    days.name(wish, actor=actor)
    return asked
