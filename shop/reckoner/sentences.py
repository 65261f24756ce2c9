"""How a figure that cannot be is refused. Each says what to do next."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "reckoning_unknown": _("There is no reckoning called {name}. The reckoner's page and reckon --list name them all."),
    "figure_missing": _("{label} is empty. Fill it in."),
    "figure_unknown": _("{name} is not asked for here. Leave it out or correct its name: {known}."),
    "figure_unreadable": _("{label} is not a number: {given}. Write it with digits, for example 4.7."),
    "figure_out_of_range": _("{label} must be {range}, not {given}."),
    "mark_unreadable": _("{label}: {given} cannot be read. It looks like this: {like}."),
    "mark_ambiguous": _("{label}: {given} can be read in more than one way: {readings}. Say which one is meant."),
    "figure_not_one_of": _("{label} cannot be {given}. Choose one of: {choices}."),
    "bands_wrong_way_round": _("These bands read from the other end only. Turn the resistor and type them again."),
    "ripple_above_rating": _(
        "More ripple flows than the part is rated for, so no life is stated. Choose another part."
    ),
    "figures_not_as_many": _("{label}: {given} were given where {wanted} are needed, one for each part."),
    "capacity_not_known": _("No capacity is known for a {given}. Write it from the cell's sheet."),
    "limit_missing": _("A verdict needs a limit. Fill in the low one, the high one, or both."),
    "figures_do_not_fit": _("{label} does not fit the other figures. Check it and those beside it."),
}
