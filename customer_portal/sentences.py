"""How this face's own refusals read."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "announced_too_often": _("That was a lot of parcels at once. Wait ten minutes, or write to us."),
    "asked_too_often": _("That was a lot at once. Wait ten minutes and try again, or call us."),
}
