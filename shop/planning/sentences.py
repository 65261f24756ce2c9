"""How planning says no, what it says of a plan, and why a unit is not in one."""

from django.utils.translation import gettext_lazy as _

_PROMISES = {
    "promise_beyond_horizon": _(
        "With the work that is ahead no date within {years} years can be promised. "
        "Check the minutes a day in the shop's profile and the day on which parts are due."
    ),
    "promise_in_past": _("{on} is over: today is {today}. Give a date from today on."),
    "promise_too_far": _("That is more than a year ahead. Give a date until {last}, and move it later if need be."),
}

# What the owner enters.
_FACTS = {
    "shift_backwards": _(
        "From {begins} until {ends} ends before it begins. Write a night shift as two: one until 00:00, "
        "and one from 00:00 on the next day."
    ),
    "shift_overlaps": _(
        "{who} works from {begins} until {ends} on one of these days already. Take that away first, or choose hours "
        "beside it."
    ),
    "not_at_bench_role": _("{name} does not work at benches. Choose a technician or an owner who still works here."),
    "hours_half_given": _("Give both hours for a part of the day, or neither for the whole day."),
    "days_backwards": _("{last} lies before {first}. Give the first day first."),
    "day_over": _("{day} is over: today is {today}. Give a day from today on."),
    "day_too_far": _("Plans do not reach that far. Give days until {last}."),
    "too_many_skills": _("Nobody can have more than {most} skills. Take one away that is not needed."),
    "alone_of_what": _("Choose the service that dries, or the test point that asks for a soak: one of the two."),
    "holidays_unknown": _(
        "No public holidays are known for {given}. Write a country like US, a country with its state like US-MD, "
        "or nothing, and enter days off by hand."
    ),
    "not_pinned": _("{number} is not kept with anybody. Look at the plan again; somebody has let it go already."),
    "not_first": _("{number} does not go before the others. Look at the plan again; it waits its turn already."),
}

# Why a unit is not in the plan, and what to do about it.
_LEFT_OUT = {
    "plan_waits_intake": _("{number} is not taken in yet. It is planned when it is in the queue."),
    "plan_waits_approval": _("{number} waits for the customer's answer to the quote, and is planned after it."),
    "plan_waits_deposit": _("{number} waits for its deposit, and is planned when that is paid or waived."),
    "plan_waits_customer": _("{number} waits for the customer: {words}. It is planned when the hold is lifted."),
    "plan_waits_parts": _("{number} waits for parts: {words}. Say when they are due, and it is planned from that day."),
    "plan_waits_other": _("{number} waits: {words}. Lift the hold or say until when, and it is planned."),
    "plan_waits_quote": _("{number} needs a quote before anything can be planned. Write and send it."),
    "plan_nothing_to_do": _("Nothing is left to do on {number}. Give it back."),
    "pinned_cannot": _(
        "{unit} is kept with {technician}, who cannot do all of it. Let it go, or enter the skill that is missing."
    ),
    "begins_after_horizon": _("{unit} can only begin after the time that is planned. Check the day its parts are due."),
    "no_such_bench": _("No bench has what {unit} needs: {equipment}. Enter it at a bench, or change the service."),
    "longer_than_horizon": _(
        "{unit} takes {minutes} minutes, more than anybody's working time that is planned. Check the minutes of its "
        "services and the shifts."
    ),
    "no_room_before_horizon": _(
        "{unit} finds no time before the end of what is planned. Add hours or a technician, or take less in."
    ),
    "no_technicians": _("Nobody works at the benches, so {unit} cannot be planned. Add a technician."),
    "nobody_has_skill": _(
        "Nobody has the skill {skill}, which {unit} needs. Enter it for somebody, or change the service."
    ),
    "fixed_to_unknown": _(
        "{unit} was begun by somebody, or at a bench, that is no longer here. Put it on a bench with whoever goes on."
    ),
}

# What became of a run of the planner.
_RUNS = {
    "planner_time": _("The planner did not finish in time. The last plan stays; the next change asks for a new one."),
    "planner_memory": _(
        "The planner needs more memory than it may take. The last plan stays. Raise WICKLINE_PLANNING_MEMORY_MB."
    ),
    "planner_broke": _(
        "The planner ended with code {code}. The last plan stays. Run doctor, which says whether a library is missing."
    ),
}

# What a plan that stands could not do.
_NOTES = {
    "search_missing": _(
        "The search for better plans is not installed, so the plan is the usual rules' alone. Install what "
        "requirements.txt names."
    ),
    "solver_missing": _(
        "The exact solver is not installed; the plan stands without it. Install what requirements.txt names."
    ),
    "solver_failed": _(
        "The exact solver failed ({words}); the plan stands without it. Run doctor if that happens again."
    ),
    "planner_short_of_memory": _(
        "The planner ran short of memory for its last steps; the plan stands. Raise WICKLINE_PLANNING_MEMORY_MB."
    ),
    "planner_stopped_by_clock": _(
        "The planner stopped after {seconds} seconds; the plan stands and is made better with the next change."
    ),
}

# Why a step lies where it lies; slot is said as the moment at which it begins.
_WHY = {
    "why_begun": _("It has begun and goes on. Nothing moves it."),
    "why_now": _("It is next: nothing comes before it."),
    "why_not_before": _("It begins as soon as it can, when its parts are due: {slot}."),
    "why_follows": _("It follows on the step before without a wait."),
    "why_waits_skill": _("It waits for {skill}, which {technician} alone has, who is at {other} until {slot}."),
    "why_waits_technician": _("{technician} is at {other} until {slot}."),
    "why_waits_bench": _("{bench} is taken by {other} until {slot}."),
    "why_waits_shift": _("{technician} is at work again from {slot}."),
    "why_kept": _("It keeps the place that it had, so that dates do not move for nothing: {slot}."),
}

SENTENCES = {**_PROMISES, **_FACTS, **_LEFT_OUT, **_RUNS, **_NOTES, **_WHY}
