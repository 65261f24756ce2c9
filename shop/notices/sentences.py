"""How this room's refusals read, and the notes that stand beside a try to send."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "notice_not_failed": _("This message is {state}. Only one that failed can be sent again."),
}

INTERRUPTED, UNWANTED, LINK_WITHDRAWN, NO_ADDRESS = "interrupted", "unwanted", "link_withdrawn", "no_address"

# Kept as codes in an attempt's words, so that they can be counted and read in any language.
NOTES = {
    INTERRUPTED: _(
        "The worker was stopped while it sent this. It may have gone out, so the customer may get it twice."
    ),
    UNWANTED: _("Not sent: the customer does not want messages now."),
    LINK_WITHDRAWN: _("Not sent: the link to the unit's page was withdrawn."),
    NO_ADDRESS: _("Not sent: no address of the customer is known any more."),
}
