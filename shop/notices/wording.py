"""What each event says. The one place where a message to a customer is worded.

An event has a subject and lines. A line names the facts without which it is left out (`needs`) and those that rule it
out (`without`); every fact is a ready string, and an absent one is "". The facts that are always there: shop, model.
With a unit: tag, number.
"""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from shop.notices.models import Event
from shop.notices.placeholders import Line

SUBJECTS: Mapping[Event, Promise] = {
    Event.ANNOUNCED: _("How to send us your {model}"),
    Event.RECEIVED: _("Your {model} is here, tag {tag}"),
    Event.QUOTE_READY: _("The quote for your {model} is ready"),
    Event.QUOTE_REMINDER: _("The quote for your {model} still waits for your answer"),
    Event.QUOTE_WITHDRAWN: _("We have taken back the quote for your {model}"),
    Event.QUOTE_EXPIRED: _("The quote for your {model} is no longer valid"),
    Event.QUESTION_ANSWERED: _("We have answered your question about your {model}"),
    Event.APPROVED: _("You approved the quote for your {model}"),
    Event.DECLINED: _("You declined the quote for your {model}"),
    Event.DEPOSIT_ASKED: _("A deposit for the work on your {model}"),
    Event.DEPOSIT_PAID: _("Your {model} is in the queue for a bench"),
    Event.STARTED: _("We have begun with your {model}"),
    Event.PROMISE_MOVED: _("Your {model} will be ready on another day"),
    Event.READY: _("Your {model} is ready"),
    Event.SHIPPED: _("Your {model} is on its way to you"),
    Event.COLLECTED: _("Thank you for bringing us your {model}"),
    Event.LINK_RENEWED: _("The way to your page at {shop}"),
}

_PROMISE = Line(_("We expect to have it ready on {promised_on}."), needs=("promised_on",))

LINES: Mapping[Event, tuple[Line, ...]] = {
    Event.ANNOUNCED: (
        Line(_("Thank you for telling us about your {model}. Here is how to get it to us in one piece.")),
        Line(
            _("Write the code {code} on a sheet of paper and put it inside the parcel, so that we know whose it is."),
            needs=("code",),
        ),
        Line(
            _(
                "Use a sturdy box with at least 5 cm of soft padding on every side, and see that nothing moves when "
                "you shake it. Take out discs, cards and loose batteries, and wrap cables apart from the unit."
            )
        ),
        Line(
            _("A swollen or damaged lithium battery must not travel by post: leave the parcel unsent and ask us first.")
        ),
        Line(_("Take a picture of the packing before you close the box. It helps if the parcel is damaged.")),
        Line("{packing_words}", needs=("packing_words",)),
        Line(_("Send it to: {postal_address}"), needs=("postal_address",)),
    ),
    Event.RECEIVED: (
        Line(_("Your {model} is with us and lies safely. Its tag says {tag}, unit {number}.")),
        Line(
            _("Next we look at it. You will hear from us before anything is done that costs more than we agreed."),
            without=("renewed",),
        ),
        Line(
            _("Its page has a new address, below. The one you had before no longer works."), needs=("renewed", "link")
        ),
    ),
    Event.QUOTE_READY: (
        Line(_("We have looked at your {model} and written down what it needs and what that costs.")),
        Line(_("This is version {edition}. It takes the place of the one before."), needs=("edition", "changes")),
        Line(_("What has changed:\n{changes}"), needs=("changes",)),
        Line(_("The total comes to {total}, tax included."), needs=("total",)),
        Line(_("Open its page to see each line, take or leave the options, and approve or decline."), needs=("link",)),
        Line(_("The quote is valid until {valid_until}."), needs=("valid_until",)),
        Line(_("Nothing is done until you answer.")),
    ),
    Event.QUOTE_REMINDER: (
        Line(_("Your {model} waits for your answer to our quote, and we cannot go on without it.")),
        Line(_("Open its page to approve or decline. Both take a minute."), needs=("link",)),
        Line(_("The quote is valid until {valid_until}."), needs=("valid_until",)),
    ),
    Event.QUOTE_WITHDRAWN: (
        Line(_("We have taken back our last quote for your {model}. You need not answer it.")),
        Line(_("You will hear from us when there is a new one.")),
    ),
    Event.QUOTE_EXPIRED: (
        Line(_("Our quote for your {model} has run out without an answer. Prices and parts may have changed since.")),
        Line(_("If you still want the work done, tell us, and we write a new one.")),
        Line(_("If you would rather have it back as it is, tell us that.")),
    ),
    Event.QUESTION_ANSWERED: (Line(_("Our answer to your question about your {model} is on its page.")),),
    Event.APPROVED: (
        Line(_("Thank you. We have your approval for the work on your {model} and put it in the queue.")),
        Line(_("What you approved comes to {total}, tax included."), needs=("total",)),
        _PROMISE,
        Line(
            _("If this was not you, tell us straight away and we stop."),
        ),
    ),
    Event.DECLINED: (
        Line(_("You declined our quote for your {model}. We do none of that work and close the unit up again.")),
        Line(_("You will hear from us when you can have it back.")),
        Line(_("If this was not you, or you changed your mind, tell us.")),
    ),
    Event.DEPOSIT_ASKED: (
        Line(_("Before we order parts and begin with your {model}, we ask for a deposit."), without=("given_back",)),
        Line(
            _("We have given money back to you. What is left does not cover the deposit for your {model}."),
            needs=("given_back",),
        ),
        Line(_("The deposit is {deposit}."), needs=("deposit",), without=("given_back",)),
        Line(_("{deposit} is missing."), needs=("deposit", "given_back")),
        Line(_("It is part of the total of {total} and is taken off at the end."), needs=("deposit", "total")),
        Line("{payment_words}", needs=("payment_words",)),
        Line(_("You can pay here: {payment_link}"), needs=("payment_link",)),
        Line(_("We begin when it has arrived.")),
        Line(_("Then we name a new day."), needs=("given_back",)),
    ),
    Event.DEPOSIT_PAID: (
        Line(
            _("Thank you. Your deposit has arrived, and your {model} is in the queue for a bench."), without=("waived",)
        ),
        Line(
            _("You need not pay the deposit that we asked for: your {model} is in the queue for a bench without it."),
            needs=("waived",),
        ),
        _PROMISE,
    ),
    Event.STARTED: (
        Line(_("Your {model} is on the bench, and we have begun with it."), without=("diagnosis",)),
        Line(
            _("Your {model} is on the bench: we open it, look and measure. Then you hear what it needs and costs."),
            needs=("diagnosis",),
        ),
        _PROMISE,
    ),
    Event.PROMISE_MOVED: (
        Line(_("The day on which your {model} should be ready has moved.")),
        Line(_("We now expect to have it ready on {promised_on}."), needs=("promised_on",)),
        Line(_("Before we had said {moved_from}."), needs=("moved_from",)),
        Line(_("Why: {reason}"), needs=("reason",)),
        Line(_("If the new day does not suit you, tell us, and we see what can be done.")),
    ),
    Event.READY: (
        Line(_("Your {model} is finished here and can come back to you.")),
        Line(_("There is {due} to pay."), needs=("due",)),
        Line("{payment_words}", needs=("due", "payment_words")),
        Line(_("You have {back} to get back."), needs=("back",)),
        Line(_("Its page shows whether there is anything to pay."), needs=("link",), without=("due", "paid")),
        Line(
            _("We send it as soon as it is paid, and write to you with the tracking number."),
            needs=("by_mail",),
            without=("paid",),
        ),
        Line(_("We send it now, and write to you with the tracking number."), needs=("by_mail", "paid")),
        Line(
            _("To collect it, show us the pickup code. You find it on the unit's page."),
            needs=("link",),
            without=("by_mail",),
        ),
        Line(_("To collect it, bring something that shows who you are."), without=("by_mail", "link")),
        Line(_("You find us here: {postal_address}"), needs=("postal_address",), without=("by_mail",)),
    ),
    Event.SHIPPED: (
        Line(_("Your {model} has left us and is on its way to you.")),
        Line(_("{carrier} carries it."), needs=("carrier",), without=("tracking",)),
        Line(_("{carrier} carries it, tracking number {tracking}."), needs=("carrier", "tracking")),
        Line(_("Let it come to room temperature before you switch it on: moisture inside could do harm.")),
        Line(_("We stand by our work until {warranty_until}."), needs=("warranty_until",)),
    ),
    Event.COLLECTED: (
        Line(_("Thank you for trusting us with your {model}.")),
        Line(
            _(
                "We stand by our work until {warranty_until}. If anything that we did fails before then, bring or send "
                "it back and we put it right. Rights that the law of your place gives you are yours besides."
            ),
            needs=("warranty_until",),
        ),
        Line(_("Its page keeps what was done and measured."), needs=("link",)),
    ),
    Event.LINK_RENEWED: (
        Line(_("Somebody asked us for the way to your page, most likely you. Here it is.")),
        Line(
            _("If you did not ask, there is nothing to do: the address went to nobody but you."),
        ),
    ),
}

CLOSING: tuple[Line, ...] = (
    Line(
        _("This address is private: whoever has it can see and decide what you can. Tell us if it got about."),
        needs=("link",),
    ),
    Line(_("The address of the unit's page was withdrawn. Ask us for a new one."), needs=("link_withdrawn",)),
    Line(_("Questions? Just answer this message."), needs=("reply_to",)),
)

OPEN_PAGE = _("Open its page")
GREETING = _("Hello {name},")
GREETING_UNNAMED = _("Hello,")
STOP = _("You do not want messages like this one? One tap on this page and they stop:")
STOP_SHORT = _("No more of these: {stop}")

# Several things in one message.
NEWS_OF_ONE = _("Several things to tell about your {model}")
NEWS_OF_SEVERAL = _("News about {count} of your units")
