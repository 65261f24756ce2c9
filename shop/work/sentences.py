"""How the bench says no. Each sentence says what to do next."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "not_at_bench": _("Unit {unit} is not at a bench but in {stage}. Scan it at a bench, then tick its steps."),
    "not_open_to_work": _("Unit {unit} is in {stage}; fasteners are counted at the bench. Scan it there first."),
    "hold_point_open": _("First comes a step that nothing may pass: “{words}”. Do it and tick it, then go on."),
    "fasteners_still_out": _(
        "Fasteners are still out: {places}. Put them back, or a fitting one in the place of a lost one, and enter them."
    ),
    "fasteners_too_many": _(
        "{count} of {where} are too many: {out} came out and {back} are back or written off, so at most {left} are "
        "left. Check the place and count again."
    ),
}
