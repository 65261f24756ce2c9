"""How the journey's refusals read: what is missing, and where to do it."""

from django.utils.translation import gettext_lazy as _

SENTENCES = {
    "wrong_stage": _(
        "The unit is in {stage}; this can only be done in {wanted}. Look at its page for what comes next."
    ),
    "not_placed": _("The unit lies nowhere yet. Scan the shelf, box or bench it is put on."),
    "insects_loose": _("Insects were found. Put the unit into a sealed box, or record on its page that they are gone."),
    "consents_missing": _("The customer has not answered: {names}. Ask at the counter and record it."),
    "comeback_undecided": _("This is a comeback. The owner decides first whether it is free of charge."),
    "held": _("The unit is held: {names}. Lift the hold on its page once that is settled."),
    "work_ended": _("The work was declined or refused. Close the unit up and give it back."),
    "not_declined": _("Nobody has declined the work. Record the decision on the quote first."),
    "diagnosis_not_agreed": _(
        "Nothing was agreed for a diagnosis. Ask for the fee or a spending limit at the counter."
    ),
    "quote_waiting": _("The quote was sent and waits for the customer's answer."),
    "quote_missing": _("There is no approved quote. Write one and send it, or go ahead within the spending limit."),
    "deposit_open": _("The deposit of {due} has not arrived. Take it, or waive it with a reason, then begin."),
    "video_answers_missing": _("A video modification needs to know: {names}. Ask the customer and write it down."),
    "not_opened": _("The unit was never opened, so there is nothing to close."),
    "must_be_closed": _("The unit is open. Take it to a bench and close it first."),
    "not_a_diagnosis": _("This visit to the bench is not a diagnosis."),
    "diagnosis_goes_to_quote": _("A diagnosis ends with a quote, not with a test. Finish the diagnosis."),
    "revision_unknown": _("The board revision is not named. Read the marking on the board and choose it."),
    "board_not_photographed": _("There is no picture of the board. Take one before anything is changed."),
    "not_measured": _("Nothing was measured. Take at least one reading."),
    "fasteners_not_recorded": _("The unit is open but no fasteners were counted. Count them into their bag first."),
    "steps_open": _("{count} steps of the job sheet are not ticked. Do them and tick them, or park the unit."),
    "fasteners_missing": _("Fasteners that are not back: {names}. Put them back and count."),
    "readings_failed": _("Readings that failed: {names}. Mend the cause and measure again."),
    "readings_undecided": _("Readings that cannot tell pass from fail: {names}. Measure with a better instrument."),
    "readings_missing": _("Readings that are missing: {names}. Take them on the unit's test page."),
    "agreed_not_done": _("Agreed but not done: {names}. Send the unit back to a bench, or write a quote without it."),
    "nothing_to_test": _("The unit was never opened, so there is nothing to test."),
    "not_paid": _("{due} is still due. Take the payment first."),
    "packing_not_photographed": _("There is no picture of the packing. Take one before the parcel is closed."),
    "parcel_missing": _("Carrier and number of the parcel are not recorded. Write them down."),
    "words_needed": _("Say why: a few words for the trail and for whoever comes next."),
    "bench_needed": _("Say at which bench: scan it."),
    "no_bench_free": _("Every bench is taken. Park a unit or finish one, then try again."),
    "not_a_bench": _("{place} is not a bench. Scan a bench."),
    "no_room": _("Every shelf and box is full. Make room, or scan a place for it."),
    "not_sealed": _("{place} is not sealed. Insects were found: choose a sealed box."),
    "outcome_not_true": _("{outcome} does not fit what happened to this unit. Choose one of: {choices}."),
    "owner_transfer_needed": _(
        "Keeping or recycling a customer's unit needs the owner's written transfer. Say where it is kept."
    ),
    "limit_needs_amount": _("A diagnosis under the spending limit needs a limit above zero."),
    "announcement_unknown": _("No announced parcel has the code {given}. Check it, or write the unit up without it."),
    "model_unknown": _("Choose a model from the list, or add it to the library first."),
    "revision_of_other_model": _("{revision} is not a board of {model}. Choose one of its revisions."),
    "board_unknown": _("Which board unit {unit} has is not known yet. Name its revision at the bench first."),
    "nothing_to_lift": _("There is no open hold of this kind on the unit."),
    "quote_not_of_unit": _("This quote belongs to another unit. Open the unit's own page."),
    "ready_already": _(
        "The unit is ready to go back, so nothing more can be approved for it. Ask the shop for a new visit."
    ),
    "already_billed": _("The bill for this unit was issued. What comes now belongs to a new visit."),
}
