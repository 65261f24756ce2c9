"""How this room's refusals read."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "invoice_issued_before": _("Unit {number} was billed already, with invoice {invoice}. Use that one."),
    "no_deposit_open": _("No deposit is open for unit {number}, so there is none to waive."),
    "payment_nil": _("A payment of nothing cannot be taken. Write the amount."),
    "nothing_to_pay": _(
        "Nothing is to be paid for unit {number} yet. Have its quote approved or its invoice issued first."
    ),
    "paid_in_full": _("Unit {number} is paid in full. Take no more money for it."),
    "overpaid": _("{given} is more than the {due} still due for unit {number}. Take {due} at most."),
    "gives_too_much": _("{given} is more than the {paid} that were paid for unit {number}. Give back {paid} at most."),
    "released_before": _("Unit {number} was handed over already, on {day}. Look at its trail."),
    "no_pickup_code": _(
        "Unit {number} has no open customer's page and so no code. Look at an identity document, or send a new link."
    ),
    "pickup_code_wrong": _(
        "This is not the code of unit {number}. Read it again from the customer's page, "
        "or look at an identity document."
    ),
    "too_many_codes": _(
        "A wrong code was given {tries} times within {minutes} minutes for unit {number}. "
        "Look at an identity document, or try the code again later."
    ),
    "document_number": _("Write only which kind of document was seen, for example a passport, never its number."),
    "not_shops_own": _("Unit {number} belongs to a customer. Ask for the code or look at an identity document."),
    "nothing_to_print": _(
        "Unit {number} has neither an invoice nor a payment. Take a payment or issue the invoice first."
    ),
}
