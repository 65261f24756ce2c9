"""After a new plan: which promised dates have moved so far that the customer is told, and in which words."""

import json

from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.core import clock, duework
from shop.core.actor import Actor
from shop.core.reasons import Refused
from shop.notices import steps as notices
from shop.planning import queries, steps
from shop.planning.basis import basis_of, read_basis, written_basis
from shop.planning.models import PlanUnit, Promise
from shop.planning.promises.promising import PromiseDate
from shop.planning.promises.telling import Cause, Move, Seen, Told, causes, worth_telling
from shop.planning.storing import Writer
from shop.units.actions import present
from shop.units.models import Unit


def look_at(*, actor: Actor, made: Writer) -> list[Promise]:
    """Promise anew, and tell the customer, where the stored plan moves a date far enough. Returns the new promises.

    Dates that a person gave by hand stay until a person moves them.
    """
    moved = []
    for row in made.run.units.select_related("unit").exclude(unit__promised_on=None).order_by("pk"):
        sure = made.foreseen.sure.get(str(row.unit_id)) if made.foreseen else None
        move = _worth(made, row, sure)
        if sure and move:
            promise = _move(actor, made, row, sure, move)
            if promise:
                moved.append(promise)
    if moved:
        # The plan was made for the old dates: the next one is made for those that are promised now.
        with transaction.atomic():
            duework.plan_anew()
    return moved


def _worth(made: Writer, row: PlanUnit, sure: PromiseDate | None) -> Move | None:
    unit = row.unit
    if sure is None or unit.promised_on is None or unit.promise_percent is None:
        return None
    told = Told(unit.promised_on, unit.promise_percent)
    seen = Seen(sure.on, row.promise_chance_percent or 0, row.off_since)
    today = clock.day_of(clock.now(), made.gathered.shop.time_zone)
    return worth_telling(told, seen, today, made.gathered.calendars.shop)


def _move(actor: Actor, made: Writer, row: PlanUnit, sure: PromiseDate, move: Move) -> Promise | None:
    """Write the new promise and the notice; None when the unit left, or its promise is of another kind by now."""
    unit_id = row.unit_id
    with transaction.atomic():
        try:
            unit = present(unit_id)
        except Refused:
            return None
        before = queries.latest(unit)
        was = made.gathered.works[str(unit_id)].unit.promised_on
        if before is None or was is None or unit.promised_on != was or "given_by" in json.loads(before.basis):
            return None
        figures: dict[str, object] = {
            "plan": made.run.generation,
            "records": made.foreseen.records if made.foreseen else 0,
            "used_percent": round(sure.used_percent, 1),
            "chance_percent": round(sure.chance_percent, 1),
            "moved": move.value,
            "rests_on": written_basis(basis_of(made.gathered, made.order, str(unit_id), sure.on), sure.on),
        }
        promise = steps.write_promise(unit, actor, on=sure.on, percent=sure.percent, figures=figures)
        facts: dict[str, object] = {
            "promised_on": sure.on.isoformat(),
            "moved_from": was.isoformat(),
            "reason": reason_words(unit, made, before, move),
        }
        notices.tell(event="promise_moved", unit=unit, key=str(promise.pk), facts=facts)
        row.promise_chance_percent, row.late_minutes, row.off_since = int(sure.chance_percent), 0, None
        row.save(update_fields=["promise_chance_percent", "late_minutes", "off_since"])
    return promise


def reason_words(unit: Unit, made: Writer, before: Promise, move: Move) -> str:
    """Say in the customer's language why their date moves, from what has changed since it was promised."""
    kept = read_basis(before.basis)
    found: list[Cause] = []
    if kept:
        rested_on, until = kept
        found = causes(rested_on, basis_of(made.gathered, made.order, str(unit.pk), until), move)
    with translation.override(unit.customer.language if unit.customer else None):
        return _cause_words(found[0] if found else None)


def _cause_words(cause: Cause | None) -> str:
    """Word one cause. Minutes are the shop's own affair and are not named."""
    if cause is None:
        return _("Several small things added up.")
    if cause.code == "test_failed":
        return _("A test at the end did not pass, so we work on it once more.")
    if cause.code == "parts_later" and cause.amount:
        days = round(cause.amount)
        return ngettext("A part comes %(n)s day later.", "A part comes %(n)s days later.", days) % {"n": days}
    words = {
        "parts_later": _("It needs a part that we have to wait for."),
        "parts_earlier": _("A part comes earlier than we thought."),
        "more_ahead": _("The work before it takes longer than we thought."),
        "less_ahead": _("The work before it went faster than we thought."),
        "more_own": _("It needs more work than we thought."),
        "less_own": _("It needs less work than we thought."),
        "less_time": _("There is less time at the bench than we had planned."),
        "more_time": _("There is more time at the bench than we had planned."),
    }
    return words[cause.code]
