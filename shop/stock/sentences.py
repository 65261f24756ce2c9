"""How the stock room says no."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "part_short": _(
        "{missing} of {part} are missing: {needed} are needed and {free} are free. "
        "Receive a lot, or let the unit wait for parts."
    ),
}
