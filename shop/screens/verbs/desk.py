"""What the counter does to a unit: words, pictures, parcels, quote, money, link."""

from typing import Any

from django.http import QueryDict
from django.urls import reverse

from shop.core.actor import Actor
from shop.core.reasons import Reason, Refused
from shop.floor.flows import intake, money, pickup, quote
from shop.floor.forms import taken_values
from shop.planning.actions import promise_by_hand
from shop.quotes.actions import draft_quote
from shop.quotes.queries import read_taken
from shop.quotes.questions import answer as answer_question
from shop.screens.http import given_version
from shop.screens.verbs.common import Files, Verb, given_day, given_money, needed_uuid, sent_photo
from shop.units import actions as units
from shop.units.models import Unit

_WRITE_UP = ("serial", "complaint", "came_with", "condition", "cable", "display", "region")


def change(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Change words of the write-up."""
    given = {name: post.get(name, "") for name in _WRITE_UP if name in post}
    units.change_written_up(actor=actor, unit_id=unit.id, version=given_version(post), **given)


def photo(actor: Actor, unit: Unit, post: QueryDict, files: Files) -> None:
    """Put a picture with the unit."""
    stored = sent_photo(actor, files)
    if stored is None:
        raise Refused(Reason("blank", {"label": "Picture"}, "photo"))
    units.add_unit_photo(
        actor=actor,
        unit_id=unit.id,
        photo_id=stored,
        purpose=post.get("purpose", ""),
        caption=post.get("caption", ""),
        for_customer="for_customer" in post,
    )


def bag(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Add a bag."""
    units.add_bag(actor=actor, unit_id=unit.id, kind=post.get("kind", ""), contents=post.get("contents", ""))


def _parcel(actor: Actor, unit: Unit, post: QueryDict) -> dict[str, Any]:
    return {
        "actor": actor,
        "unit_id": unit.id,
        "carrier": post.get("carrier", ""),
        "tracking": post.get("tracking", ""),
        "declared_minor": given_money(post, "declared", "Declared value"),
    }


def parcel_in(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Record the parcel it came in."""
    intake.record_arrival(**_parcel(actor, unit, post))


def parcel_out(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Record the parcel it goes in."""
    intake.record_departure(**_parcel(actor, unit, post))


def cost(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Add a cost of the shop's own unit."""
    amount = given_money(post, "amount", "Amount")
    units.add_cost(actor=actor, unit_id=unit.id, text=post.get("words", ""), amount_minor=amount)


def comeback(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Decide whether a comeback is free."""
    free = post.get("free") == "yes"
    units.decide_comeback(actor=actor, unit_id=unit.id, free=free, reason=post.get("words", ""))


def draft(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> str:
    """Draft a quote and go to it."""
    postage = given_money(post, "postage", "Postage") if post.get("postage", "").strip() else None
    made = draft_quote(actor=actor, unit_id=unit.id, postage_minor=postage)
    return reverse("screens:quote", args=[made.id])


def bill(actor: Actor, unit: Unit, _post: QueryDict, _files: Files) -> None:
    """Issue the bill."""
    pickup.bill(actor=actor, unit_id=unit.id)


def sell(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Bill the sale of the shop's own unit."""
    pickup.sell(actor=actor, unit_id=unit.id, price_minor=given_money(post, "price", "Price"))


def _payment(actor: Actor, unit: Unit, post: QueryDict) -> dict[str, Any]:
    return {
        "actor": actor,
        "unit_id": unit.id,
        "amount_minor": given_money(post, "amount", "Amount"),
        "method": post.get("method", ""),
        "reference": post.get("reference", ""),
    }


def pay(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Take a payment."""
    money.take_payment(**_payment(actor, unit, post))


def give_back(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Give money back."""
    money.give_back(**_payment(actor, unit, post), reason=post.get("words", ""))


def renew_link(actor: Actor, unit: Unit, _post: QueryDict, _files: Files) -> None:
    """Make a new link; the old one ends."""
    pickup.renew_link(actor=actor, unit_id=unit.id)


def revoke_link(actor: Actor, unit: Unit, _post: QueryDict, _files: Files) -> None:
    """End the link."""
    pickup.revoke_link(actor=actor, unit_id=unit.id)


def promise(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Promise another date by hand."""
    day = given_day(post, "on", "Day")
    if day is None:
        raise Refused(Reason("blank", {"label": "Day"}, "on"))
    promise_by_hand(
        actor=actor, unit_id=unit.id, version=given_version(post), on=day, words=post.get("words", "")
    )  # fmt: skip


def answer(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Record an answer that the customer gave at the counter or by telephone."""
    quote.decide_quote(
        actor=actor,
        quote_id=needed_uuid(post, "quote", "Quote"),
        approve=post.get("answer") == "yes",
        taken_line_ids=tuple(read_taken(taken_values(post))),
        agreed=tuple(post.getlist("agreed")),
        shown_sha256=post.get("shown", ""),
        reason=post.get("words", ""),
        unit_id=unit.id,
    )


def reply(actor: Actor, _unit: Unit, post: QueryDict, _files: Files) -> None:
    """Answer a question that the customer asked on their page."""
    answer_question(actor=actor, question_id=needed_uuid(post, "question", "Question"), text=post.get("reply", ""))


def waive(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Let work begin without the deposit."""
    money.waive_deposit(actor=actor, unit_id=unit.id, reason=post.get("words", ""))


VERBS: dict[str, Verb] = {
    "change": change,
    "photo": photo,
    "bag": bag,
    "parcel-in": parcel_in,
    "parcel-out": parcel_out,
    "cost": cost,
    "comeback": comeback,
    "draft": draft,
    "bill": bill,
    "sell": sell,
    "pay": pay,
    "give-back": give_back,
    "renew-link": renew_link,
    "revoke-link": revoke_link,
    "promise": promise,
    "answer": answer,
    "reply": reply,
    "waive-deposit": waive,
}
