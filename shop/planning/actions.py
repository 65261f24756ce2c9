"""What somebody may do here: promise a date, say who works when, pin a unit, let one go first, ask for a plan."""

from collections.abc import Callable
from datetime import date, timedelta
from uuid import UUID

from django.db import transaction

from shop.core import clock, duework, text
from shop.core.actor import Actor, permit
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.planning import plans, promise_moves, solving, steps
from shop.planning.facts_actions import (
    REMOVABLE,
    add_day_off,
    add_extra_day,
    add_shifts,
    remove_fact,
    set_alone,
    set_figures,
    set_skill,
)
from shop.planning.models import Plan, Promise
from shop.planning.pin_actions import pin_unit, put_back, put_first, unpin_unit
from shop.units.actions import present

__all__ = [
    "REMOVABLE",
    "add_day_off",
    "add_extra_day",
    "add_shifts",
    "ask_for_plan",
    "make_plan",
    "pin_unit",
    "promise_by_hand",
    "put_back",
    "put_first",
    "remove_fact",
    "set_alone",
    "set_figures",
    "set_skill",
    "unpin_unit",
]

_LONGEST = timedelta(days=365)


def promise_by_hand(*, actor: Actor, unit_id: UUID, version: int | None, on: date, words: str = "") -> Promise:
    """Promise a date of somebody's own choice; its confidence is what the figures say about that day.

    words say why and are kept with the trail. Raises Refused: `promise_in_past`, `promise_too_far` (over a year),
    `unit_left`, `too_long`; Stale for an old version, Missing.
    """
    permit(actor, "planning.promise")
    said = text.words(words, label="Reason", field="words", limit=300, required=False)
    today = clock.day_of(clock.now(), profile().time_zone)
    if on < today:
        raise Refused(Reason("promise_in_past", {"on": on.isoformat(), "today": today.isoformat()}, "on"))
    if on > today + _LONGEST:
        raise Refused(Reason("promise_too_far", {"last": (today + _LONGEST).isoformat()}, "on"))
    with transaction.atomic():
        unit = present(unit_id, version=version)
        made = steps.promise_given(actor=actor, unit=unit, today=today, on=on, words=said)
        duework.plan_anew()
    return made


def ask_for_plan(*, actor: Actor) -> None:
    """Ask for a new plan now; the worker makes it in the background."""
    permit(actor, "planning.change")
    with transaction.atomic():
        duework.plan_anew()


def make_plan(*, actor: Actor, effort: str = solving.QUICK, should_stop: Callable[[], bool] = lambda: False) -> Plan:
    """Make a plan from what holds now, store it, and tell customers of dates that moved. Returns the run.

    effort is one of `solving.QUICK`, `USUAL`, `THOROUGH`. should_stop ends the run once something is stored.
    """
    permit(actor, "planning.plan")
    made = plans.make(effort, should_stop)
    if made.run.state == Plan.State.DONE:
        promise_moves.look_at(actor=actor, made=made)
    return made.run
