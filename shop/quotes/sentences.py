"""How this room's refusals read. Each says what to do next."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "discount_too_large": _(
        "The discounts come to more than the lines they are taken from. Lower them, or give a discount the tax of the "
        "lines that it is taken from."
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
    "terms_not_agreed": _(
        "Some of this work needs your yes by itself. Tick what it asks below the lines, then approve."
    ),
    "option_one_of": _("Of “{group}” exactly one can be taken. Choose one of them and answer again."),
    "option_requires": _("“{option}” only makes sense together with “{needs}”. Take both, or leave both."),
    "line_not_optional": _("Only an option can be one of several, or need another. Make the line an option first."),
    "needs_itself": _("An option cannot need itself, or one that needs it. Choose another."),
    "share_of_nothing": _("Only a discount or a surcharge can be a share in percent. Give the price of one instead."),
    "discount_of_discount": _("A discount, a credit or a share has no discount of its own. Change its amount instead."),
    "brought_with_price": _("A part that the customer brings costs nothing and is a line of kind part."),
    "donor_missing": _("Say which unit the used part comes from: give that unit's number."),
    "bands_from_nothing": _("The mark-ups begin at a cost of 0 and rise from there, each cost once. Add one from 0."),
    "service_quoted": _("“{name}” is on this quote already. Change its lines instead."),
    "template_empty": _("There is nothing on this quote to make a template of."),
    "template_named_before": _("There is a template called “{name}” already. Give this one another name."),
    "questions_many": _("{count} questions wait for an answer already. We see to them first; call us if it is urgent."),
    "question_answered": _("Somebody has answered this question already: {by}. Load the page again to read it."),
    "paper_missing": _("This edition has not been decided yet, so there is no paper of a decision."),
    "option_never": _(
        "“{option}” could never be taken: what it needs is not on the quote, or its own group rules it out."
    ),
    "option_at_most_one": _("Of “{group}” at most one can be taken. Leave the others and answer again."),
    "limit_needs_yes": _(
        "Some of this work cannot be undone, or meets earlier damage, and needs the customer's own yes. Send the quote."
    ),
    "limit_exceeded": _(
        "The total of {total} with tax is above the spending limit of {limit}. Send the quote and wait for the answer."
    ),
}
