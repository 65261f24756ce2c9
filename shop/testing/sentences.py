"""How this room's refusals read."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "reading_wrong_stage": _(
        "Unit {number} is in the stage {stage}. Readings are taken at the bench or in testing: "
        "move the unit there first."
    ),
    "reading_wrong_phase": _(
        "{point} is tried with the unit {phase}, at the stage {wanted}. Unit {number} is in the stage {stage} now."
    ),
    "point_retired": _("{point} is no longer in use. Load the page again and use what stands there now."),
    "point_of_others": _("{point} is not part of the procedure for unit {number}. Choose one from its list."),
    "reading_empty": _("There is no value for {point}. Write what the instrument shows."),
    "answer_empty": _("There is no answer for {point}. Say yes or no."),
    "reading_wants_value": _("{point} is measured in {quantity}. Write the value instead of a yes or no."),
    "reading_wants_answer": _("{point} is answered with yes or no. Leave the value and its uncertainty empty."),
    "figure_impossible": _("{label} cannot be {given}. Write an ordinary number below 100,000,000."),
    "figure_too_fine": _(
        "{label} has more than {places} decimals: {given}. Write it in a smaller unit, for example mA instead of A."
    ),
    "uncertainty_negative": _("The uncertainty cannot be below zero: {given}. Write it without a minus sign."),
    "limits_crossed": _("The lower limit {low} is above the upper limit {high}. Swap them."),
    "limits_missing": _("{name} is measured but has no limit. Write a lower limit, an upper limit or both."),
    "limits_without_quantity": _("{name} has limits but no quantity. Write one (V, A, °C) or leave the limits empty."),
}
