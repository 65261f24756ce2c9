"""How this room's refusals read. Each says what to do next."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "discount_too_large": _(
        "The discounts come to more than the lines they are taken from. Lower them, or let a discount on untaxed lines "
        "be untaxed as well."
    ),
    "quote_too_large": _("The total is larger than can be written on a quote. Check quantities and prices."),
    "too_many_lines": _("A quote has at most {limit} lines. Put some of them together."),
    "quote_own_unit": _("Unit {number} is the shop's own and needs no quote. Record what it costs on its page."),
    "quote_not_draft": _("This quote is {state} and no longer changes. Start a new edition of it."),
    "quote_empty": _("There is nothing on the quote. Add a line before you send it."),
    "quote_postage_open": _("Return postage is still 0. Write what the parcel back costs, or remove that line."),
    "quote_tax_changed": _(
        "The shop's tax has changed to {rate} % since this draft was reckoned. Save the draft once more, look at its "
        "total, then send it."
    ),
    "quote_not_sent": _("This quote has not been sent yet, so there is nothing to decide."),
    "quote_replaced": _("A newer edition has taken the place of number {edition}. Look at that one and decide on it."),
    "quote_withdrawn": _(
        "The shop has taken number {edition} back, so there is nothing to decide. A new one may follow."
    ),
    "quote_not_waiting": _("Number {edition} is {state}. Only a quote that waits for an answer can be taken back."),
    "quote_expired": _("This quote was valid until {valid_until}. Ask the shop to send it again, the answer is quick."),
    "quote_already_decided": _("This quote is already {state}. Ask the shop if that is not what you want."),
    "option_unknown": _("One of the options chosen is not on this quote. Load the page again and choose once more."),
    "option_incomplete": _("The lines of one option belong together. Take all of them or leave all of them."),
    "limit_exceeded": _(
        "The total of {total} with tax is above the spending limit of {limit}. Send the quote and wait for the answer."
    ),
}
