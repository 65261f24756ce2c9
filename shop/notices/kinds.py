"""What sort of message an event makes: needed for the contract, an answer, or one that a customer may do without."""

from collections.abc import Mapping
from datetime import timedelta

from shop.notices.models import Event, Group

# What the customer needs to enter or settle the contract: sent once it is written, whatever changed meanwhile.
CONTRACT = frozenset({
    Event.QUOTE_READY, Event.APPROVED, Event.DEPOSIT_ASKED, Event.READY, Event.SHIPPED, Event.COLLECTED,
})  # fmt: skip

# Answers to what the customer did just now: neither quiet hours nor a digest hold them back.
ANSWERS = frozenset({Event.ANNOUNCED, Event.APPROVED, Event.DECLINED, Event.LINK_RENEWED})
# So long it is still "just now"; an answer that could not be sent at once waits for the morning like anything else.
FRESH = timedelta(hours=1)

# What a customer may do without. Whatever is not named here always goes: the receipt of a unit brings the address of
# its page, and a quote that was taken back or ran out changes what the customer may rely on.
GROUPS: Mapping[Event, Group] = {
    Event.STARTED: Group.PROGRESS,
    Event.PROMISE_MOVED: Group.DATES,
    Event.QUOTE_REMINDER: Group.REMINDERS,
}
