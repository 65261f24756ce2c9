"""How the bench says no. Each sentence says what to do next."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "not_at_bench": _("Unit {unit} is not at a bench but in {stage}. Scan it at a bench, then tick its steps."),
    "not_open_to_work": _("Unit {unit} is in {stage}; fasteners are counted at the bench. Scan it there first."),
    "hold_point_open": _("First comes a step that nothing may pass: “{words}”. Do it and tick it, then go on."),
    "evidence_photo": _("“{words}” needs a photo. Take one with this form, then tick it."),
    "evidence_reading": _("“{words}” needs {kind}. Measure it and write the figure beside the button, then tick it."),
    "still_charged": _(
        "It still holds {volts} V. Discharge it again, wait, and measure again: {empty} V or less counts as empty."
    ),
    "rail_shorted": _(
        "{ohms} Ω from a rail to ground is a short. Find it before any power: {least} Ω is the least that may go on."
    ),
    "fasteners_uncounted": _(
        "Fasteners of {labels} are not counted yet. Take each group out into its compartment and tap it, then open."
    ),
    "fastener_too_long": _(
        "{held} is longer than what belongs at {place}. There it would damage {damage}. Take one that belongs there."
    ),
    "fastener_of_other_place": _("{held} does not belong at {place}. Take one that belongs there."),
    "mat_nothing_to_lay": _("There is nothing to lay on a mat yet. Enter placements or fasteners first."),
    "mat_board_size": _("A mat at true scale needs a board from 5 to 1000 mm. Enter its size in the library."),
    "mat_kind_unknown": _("There is no mat called {given}. Ask for one of {choices}."),
    "fasteners_still_out": _(
        "Fasteners are still out: {places}. Put them back, or a fitting one in the place of a lost one, and enter them."
    ),
    "fasteners_too_many": _(
        "{count} of {where} are too many: {out} came out and {back} are back or written off, so at most {left} are "
        "left. Check the place and count again."
    ),
}
