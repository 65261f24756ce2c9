"""What each event says as a text message: a sentence or two; the address of the page is put after them.

Worded like `wording`, in plain signs, so that a message is one part or two.
"""

from collections.abc import Mapping

from django.utils.translation import gettext_lazy as _

from shop.notices.models import Event
from shop.notices.placeholders import Line

SHORT: Mapping[Event, tuple[Line, ...]] = {
    Event.ANNOUNCED: (
        Line(_("Put the code {code} inside the parcel with your {model}."), needs=("code",)),
        Line(_("Send it to: {postal_address}"), needs=("postal_address",)),
    ),
    Event.RECEIVED: (
        Line(_("Your {model} is here, tag {tag}."), without=("renewed",)),
        Line(_("The page of your {model} has a new address."), needs=("renewed",)),
    ),
    Event.QUOTE_READY: (
        Line(_("The quote for your {model} is ready."), without=("total",)),
        Line(_("The quote for your {model} is ready: {total} with tax."), needs=("total",)),
        Line(_("Look and answer here:"), needs=("link",)),
    ),
    Event.QUOTE_REMINDER: (
        Line(_("The quote for your {model} waits for your answer."), without=("valid_until",)),
        Line(_("The quote for your {model} waits for your answer until {valid_until}."), needs=("valid_until",)),
    ),
    Event.QUOTE_WITHDRAWN: (Line(_("We took back the quote for your {model}. You need not answer it.")),),
    Event.QUOTE_EXPIRED: (Line(_("The quote for your {model} has run out. Tell us if you want a new one.")),),
    Event.QUESTION_ANSWERED: (Line(_("We answered your question about your {model}. Read it on its page.")),),
    Event.APPROVED: (
        Line(_("We have your approval for your {model}."), without=("total",)),
        Line(_("We have your approval for your {model}: {total} with tax."), needs=("total",)),
        Line(_("If this was not you, tell us.")),
    ),
    Event.DECLINED: (Line(_("You declined the quote for your {model}. If this was not you, tell us.")),),
    Event.DEPOSIT_ASKED: (
        Line(_("We ask for a deposit for your {model}."), without=("deposit",)),
        Line(_("We ask for a deposit of {deposit} for your {model}."), needs=("deposit",), without=("given_back",)),
        Line(
            _("After what we gave back, {deposit} of the deposit for your {model} is missing."),
            needs=("deposit", "given_back"),
        ),
    ),
    Event.DEPOSIT_PAID: (
        Line(_("Your deposit for your {model} has arrived."), without=("waived",)),
        Line(_("You need not pay a deposit for your {model}."), needs=("waived",)),
        Line(_("Expected ready on {promised_on}."), needs=("promised_on",)),
    ),
    Event.STARTED: (
        Line(_("We have begun with your {model}.")),
        Line(_("Expected ready on {promised_on}."), needs=("promised_on",)),
    ),
    Event.PROMISE_MOVED: (
        Line(_("The day for your {model} has moved."), without=("promised_on",)),
        Line(_("The day for your {model} has moved to {promised_on}."), needs=("promised_on",)),
    ),
    Event.READY: (
        Line(_("Your {model} is ready.")),
        Line(_("To pay: {due}."), needs=("due",)),
        Line(_("Pickup code and details:"), needs=("link",), without=("by_mail",)),
    ),
    Event.SHIPPED: (
        Line(_("Your {model} is on its way.")),
        Line(_("{carrier} {tracking}"), needs=("carrier", "tracking")),
    ),
    Event.COLLECTED: (
        Line(_("Thank you for trusting us with your {model}.")),
        Line(_("Warranty until {warranty_until}."), needs=("warranty_until",)),
    ),
    Event.LINK_RENEWED: (Line(_("The way to your page:")),),
}
