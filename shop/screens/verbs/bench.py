"""What is done to a unit at the bench, as forms post it."""

from django.http import QueryDict

from shop.core.actor import Actor
from shop.floor.flows import bench, inside, testing
from shop.screens.http import given_uuid
from shop.screens.verbs.common import (
    Files,
    Verb,
    given_day,
    given_figure,
    given_length,
    given_money,
    given_number,
    needed_uuid,
    sent_photo,
)
from shop.testing.actions import record_free_reading
from shop.units import actions as units
from shop.units.models import Unit
from shop.work import actions as work
from shop.work import fastener_actions as fasteners


def tick(actor: Actor, unit: Unit, post: QueryDict, files: Files) -> None:
    """Tick a step."""
    step, photo = needed_uuid(post, "step", "Step"), sent_photo(actor, files)
    value = given_figure(post, "value", "Reading")
    inside.tick_step(actor=actor, unit_id=unit.id, step_id=step, photo_id=photo, value=value)


def untick(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Untick a step; it stays in the trail."""
    work.untick(actor=actor, unit_id=unit.id, step_id=needed_uuid(post, "step", "Step"))


def fasteners_out(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Count fasteners into their bag."""
    inside.take_fasteners_out(
        actor=actor,
        unit_id=unit.id,
        where=post.get("where", ""),
        kind=post.get("kind", ""),
        count=given_number(post, "count", "How many"),
    )


def group_out(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Take a group of fasteners out that the library knows."""
    missing = given_number(post, "missing", "Missing on arrival") if post.get("missing", "").strip() else 0
    inside.take_group_out(actor=actor, unit_id=unit.id, label=post.get("label", ""), missing=missing)


def fasteners_back(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Count fasteners back to their place: all of a group by one tap (back), or so many.

    held is the compartment that the hand took them from.
    """
    held = given_uuid(post, "held")
    if group := given_uuid(post, "back"):
        fasteners.fasteners_back(actor=actor, unit_id=unit.id, group_id=group, held_id=held)
        return
    group, count = needed_uuid(post, "group", "Fasteners"), given_number(post, "count", "How many")
    fasteners.fasteners_back(actor=actor, unit_id=unit.id, group_id=group, count=count, held_id=held)


def fasteners_off(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Write fasteners off that stay away."""
    group, count = needed_uuid(post, "group", "Fasteners"), given_number(post, "count", "How many")
    fasteners.write_off_fasteners(
        actor=actor, unit_id=unit.id, group_id=group, count=count, reason=post.get("reason", "")
    )  # fmt: skip


def revision(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Name the board revision, and its variant."""
    found, variant = needed_uuid(post, "revision", "Board revision"), post.get("variant", "")
    inside.name_revision(actor=actor, unit_id=unit.id, revision_id=found, variant=variant)


def new_revision(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Begin the library's entry of a board that it does not know."""
    inside.found_new_revision(
        actor=actor, unit_id=unit.id, marking=post.get("marking", ""), how_to_tell=post.get("how_to_tell", "")
    )  # fmt: skip


def sheet_again(actor: Actor, unit: Unit, _post: QueryDict, _files: Files) -> None:
    """Lay the job sheet out again from what the library and the findings say now."""
    inside.lay_out_again(actor=actor, unit_id=unit.id)


def reading(actor: Actor, unit: Unit, post: QueryDict, files: Files) -> None:
    """Take a reading of a test point."""
    answers = {"yes": True, "no": False}
    testing.take_reading(
        actor=actor,
        unit_id=unit.id,
        point_id=needed_uuid(post, "point", "Test point"),
        value=given_figure(post, "value", "Value"),
        uncertainty=given_figure(post, "uncertainty", "Uncertainty"),
        answer=answers.get(post.get("answer", "")),
        instrument=post.get("instrument", ""),
        words=post.get("words", ""),
        photo_id=sent_photo(actor, files),
    )


def free_reading(actor: Actor, unit: Unit, post: QueryDict, files: Files) -> None:
    """Take a reading that no procedure asks for."""
    record_free_reading(
        actor=actor,
        unit_id=unit.id,
        name=post.get("name", ""),
        quantity=post.get("quantity", ""),
        value=given_figure(post, "value", "Value"),
        uncertainty=given_figure(post, "uncertainty", "Uncertainty"),
        low=given_figure(post, "low", "Lowest"),
        high=given_figure(post, "high", "Highest"),
        instrument=post.get("instrument", ""),
        photo_id=sent_photo(actor, files),
    )


def hold(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Record why it waits."""
    bench.hold_unit(
        actor=actor,
        unit_id=unit.id,
        kind=post.get("hold", ""),
        text=post.get("words", ""),
        due_on=given_day(post, "due_on", "Due"),
    )


def lift(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Lift a hold."""
    bench.lift_hold(actor=actor, unit_id=unit.id, kind=post.get("hold", ""))


def place(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Put it elsewhere."""
    bench.place_unit(actor=actor, unit_id=unit.id, place_id=needed_uuid(post, "place", "Place"))


def finding(actor: Actor, unit: Unit, post: QueryDict, files: Files) -> None:
    """Record something seen."""
    note_finding(actor, unit, post, files)


def note_finding(
    actor: Actor, unit: Unit, post: QueryDict, files: Files, *, place: tuple[float, float] | None = None
) -> None:
    """Record something seen, where on the board (tapped, or in figures), and what is to become of it."""
    kind, photo = post.get("kind", ""), sent_photo(actor, files)
    x, y = place or (given_length(post, "x_mm", "x"), given_length(post, "y_mm", "y"))
    spotted = units.Spotted(
        x_mm=x,
        y_mm=y,
        side=post.get("side", ""),
        repair=post.get("repair", ""),
        minutes=given_number(post, "minutes", "Minutes") if post.get("minutes", "").strip() else 0,
        price_minor=given_money(post, "price", "Price"),
    )
    units.add_finding(
        actor=actor, unit_id=unit.id, kind=kind, text=post.get("words", ""), photo_id=photo, spotted=spotted
    )  # fmt: skip


def settle(actor: Actor, _unit: Unit, post: QueryDict, _files: Files) -> None:
    """Record that a finding was dealt with."""
    units.settle_finding(
        actor=actor, finding_id=needed_uuid(post, "finding", "Finding"), text=post.get("words", "")
    )  # fmt: skip


def incident(actor: Actor, unit: Unit, post: QueryDict, files: Files) -> None:
    """Record what the shop broke."""
    units.record_incident(
        actor=actor,
        unit_id=unit.id,
        text=post.get("words", ""),
        offer=post.get("offer", ""),
        cost_minor=given_money(post, "cost", "Cost"),
        photo_id=sent_photo(actor, files),
    )


VERBS: dict[str, Verb] = {
    "tick": tick,
    "untick": untick,
    "fasteners-out": fasteners_out,
    "group-out": group_out,
    "fasteners-back": fasteners_back,
    "fasteners-off": fasteners_off,
    "revision": revision,
    "new-revision": new_revision,
    "sheet-again": sheet_again,
    "reading": reading,
    "free-reading": free_reading,
    "hold": hold,
    "lift": lift,
    "place": place,
    "finding": finding,
    "settle": settle,
    "incident": incident,
}
