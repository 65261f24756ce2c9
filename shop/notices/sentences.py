"""How this room's refusals read, and the notes that stand beside a try to send."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "notice_not_failed": _("This message is {state}. Only one that failed can be sent again."),
    "placeholder_unknown": _("{given} cannot be filled in here. Use these, written just so: {known}."),
    "condition_unknown": _("{given} is no condition. Write [if name] or [if not name] with one of: {known}."),
    "template_replaced": _("Somebody kept another wording meanwhile, edition {edition}. Load the page and compare."),
    "template_standard": _("The standard wording is in force already. There is nothing to go back from."),
    "no_shop_address": _("The shop has no e-mail address yet. Fill it in on the shop's page, then try it out."),
    "unsubscribe_unknown": _("This address stops nothing. Use the one in our latest message, or write to us."),
    "bounce_unreadable": _("This is no report of delivery (RFC 3464), or it names no message. Look at it by hand."),
    "bounce_not_ours": _("The report names {message_id}, which is no message of this shop. Nothing was written."),
    "bounce_too_early": _("The message is being sent this moment. Hand the report in again in a few minutes."),
}

INTERRUPTED, UNWANTED, LINK_WITHDRAWN, NO_ADDRESS = "interrupted", "unwanted", "link_withdrawn", "no_address"
UNSUBSCRIBED, NOT_REACHABLE, ADDRESS_FAILING = "unsubscribed", "not_reachable", "address_failing"

# Kept as codes in an attempt's words, so that they can be counted and read in any language.
NOTES = {
    INTERRUPTED: _(
        "The worker was stopped while it sent this. It may have gone out, so the customer may get it twice."
    ),
    UNWANTED: _("Not sent: the customer does not want messages now."),
    UNSUBSCRIBED: _("Not sent: the customer does not want messages of this sort."),
    LINK_WITHDRAWN: _("Not sent: the link to the unit's page was withdrawn."),
    NO_ADDRESS: _("Not sent: no address of the customer is known any more."),
    NOT_REACHABLE: _(
        "Not sent: the customer wants text messages, and there is no gateway or no phone number, nor an e-mail address."
    ),
    ADDRESS_FAILING: _(
        "Not sent: two messages to this address came back for good. Ask the customer, correct it, then send it again."
    ),
}
# These need somebody to do something: the message has failed, where with the others it is called off.
NEED_A_HAND = frozenset({NOT_REACHABLE, ADDRESS_FAILING})
