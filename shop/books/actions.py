"""What a face may do in this room: take money, and give it back."""

from uuid import UUID

from django.db import transaction

from shop.books.deposits import ask_again, settle
from shop.books.models import Payment
from shop.books.posting import post_payment
from shop.books.queries import Due, amount_due
from shop.core import money, text, trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock
from shop.core.numbering import next_number
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.units.models import Unit


def take_payment(*, actor: Actor, unit_id: UUID, amount_minor: int, method: str, reference: str = "") -> Payment:
    """Take money for a unit, in part or in full, also before its bill (a deposit on the approved quote).

    amount_minor is in the currency of the bill or quote; reference is the payer's or the bank's, never a card number.
    Raises Missing, Refused with `negative_money`, `payment_nil`, `out_of_range`, `not_a_choice`, `too_long`,
    `nothing_to_pay`, `paid_in_full`, `overpaid`.
    """
    permit(actor, "books.take_payment")
    _check(amount_minor)
    payment = _payment(actor, method, reference)
    with transaction.atomic():
        unit = lock(Unit, pk=unit_id)
        due = amount_due(unit)
        _refuse_too_much(unit, due, amount_minor)
        kept = _keep(payment, unit, actor, amount_minor, due, what="payment_taken")
        settle(unit, actor)
        return kept


def give_back(
    *, actor: Actor, unit_id: UUID, amount_minor: int, method: str, reason: str, reference: str = ""
) -> Payment:
    """Give money back, at most what was paid; it is kept as a payment below zero. Owner only, and never without why.

    A deposit that what is left does not cover is asked for again, unless the bill is written. amount_minor is above
    zero; the reason goes into the trail. Raises Missing, Refused with `negative_money`, `payment_nil`, `out_of_range`,
    `not_a_choice`, `blank`, `too_long`, `gives_too_much`.
    """
    permit(actor, "books.give_back")
    _check(amount_minor)
    why = text.words(reason, label="Reason", field="reason", limit=200)
    payment = _payment(actor, method, reference)
    with transaction.atomic():
        unit = lock(Unit, pk=unit_id)
        due = amount_due(unit)
        if amount_minor > due.paid_minor:
            facts = {"given": _show(amount_minor, due), "paid": _show(due.paid_minor, due), "number": str(unit)}
            raise Refused(Reason("gives_too_much", facts, "amount"))
        kept = _keep(payment, unit, actor, -amount_minor, due, what="money_given_back", note=why)
        if not due.billed:
            ask_again(unit, actor)
        return kept


def _check(amount_minor: int) -> None:
    if not money.checked(amount_minor, label="Amount", field="amount"):
        raise Refused(Reason("payment_nil", {}, "amount"))


def _payment(actor: Actor, method: str, reference: str) -> Payment:
    return Payment(
        method=text.choice(method, Payment.Method.values, label="Way of paying", field="method"),
        reference=text.words(reference, label="Reference", field="reference", limit=80, required=False),
        by_id=actor.id,
    )


def _refuse_too_much(unit: Unit, due: Due, amount_minor: int) -> None:
    """Say no to money that nobody owes; the sentence names what is owed."""
    if not due.billed and not due.total_minor:
        raise Refused(Reason("nothing_to_pay", {"number": str(unit)}, "amount"))
    if due.due_minor <= 0:
        raise Refused(Reason("paid_in_full", {"number": str(unit)}, "amount"))
    if amount_minor > due.due_minor:
        facts = {"given": _show(amount_minor, due), "due": _show(due.due_minor, due), "number": str(unit)}
        raise Refused(Reason("overpaid", facts, "amount"))


def _show(minor: int, due: Due) -> str:
    return money.show(minor, due.currency, profile().locale)


def _keep(
    payment: Payment, unit: Unit, actor: Actor, amount_minor: int, due: Due, *, what: str, note: str = ""
) -> Payment:
    """Number, store and post a payment for a locked unit, and write the trail."""
    payment.unit, payment.amount_minor, payment.currency = unit, amount_minor, due.currency
    payment.number = next_number("receipt")
    payment.save(force_insert=True)
    post_payment(payment, billed=due.billed)
    facts = {"payment": payment.id, "number": payment.number, "method": payment.method}
    facts |= {"amount_minor": amount_minor, "currency": due.currency}
    trail.write(unit, actor, what, facts=facts, note=note)
    return payment
