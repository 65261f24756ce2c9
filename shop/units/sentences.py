"""How this room's refusals read."""

from django.utils.translation import gettext_lazy as _

from shop.units.label_sentences import LABEL_SENTENCES

SENTENCES = {
    "finding_half_placed": _("The finding has only one of x and y. Give both, or none."),
    "unit_left": _("Unit {number} has left the shop ({outcome}). Write up a new visit if it came back."),
    "not_a_comeback": _("Unit {number} is not a comeback. Name the earlier unit when you write it up."),
    "not_our_own": _("Unit {number} belongs to a customer. Put what it costs on the quote instead."),
    "place_full": _("{place} is full: {inside} units lie there. Scan another place."),
    "place_retired": _("{place} is no longer in use. Scan another place."),
    "announcement_used": _("This announcement was already met by unit {number}. Check the code in the parcel."),
    **LABEL_SENTENCES,
}
