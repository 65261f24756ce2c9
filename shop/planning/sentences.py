"""How planning says no."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "promise_beyond_horizon": _(
        "With the work that is ahead no date within {years} years can be promised. "
        "Check the minutes a day in the shop's profile and the day on which parts are due."
    ),
    "promise_in_past": _("{on} is over: today is {today}. Give a date from today on."),
    "promise_too_far": _("That is more than a year ahead. Give a date until {last}, and move it later if need be."),
}
