"""What is done to a unit at the bench, as forms post it."""

from django.http import QueryDict

from shop.core.actor import Actor
from shop.floor.flows import bench
from shop.screens.verbs.common import (
    Files,
    Verb,
    given_day,
    given_figure,
    given_money,
    given_number,
    needed_uuid,
    sent_photo,
)
from shop.testing.actions import record_free_reading, record_reading
from shop.units import actions as units
from shop.units.models import Unit
from shop.work import actions as work


def tick(actor: Actor, unit: Unit, post: QueryDict, files: Files) -> None:
    """Tick a step."""
    step, photo = needed_uuid(post, "step", "Step"), sent_photo(actor, files)
    bench.tick_step(actor=actor, unit_id=unit.id, step_id=step, photo_id=photo)


def untick(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Untick a step; it stays in the trail."""
    work.untick(actor=actor, unit_id=unit.id, step_id=needed_uuid(post, "step", "Step"))


def fasteners_out(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Count fasteners into their bag."""
    bench.take_fasteners_out(
        actor=actor,
        unit_id=unit.id,
        where=post.get("where", ""),
        kind=post.get("kind", ""),
        count=given_number(post, "count", "How many"),
    )


def fasteners_back(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Count fasteners back to their place."""
    group, count = needed_uuid(post, "group", "Fasteners"), given_number(post, "count", "How many")
    work.fasteners_back(actor=actor, unit_id=unit.id, group_id=group, count=count)


def fasteners_off(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Write fasteners off that stay away."""
    group, count = needed_uuid(post, "group", "Fasteners"), given_number(post, "count", "How many")
    work.write_off_fasteners(
        actor=actor, unit_id=unit.id, group_id=group, count=count, reason=post.get("reason", "")
    )  # fmt: skip


def revision(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Name the board revision."""
    bench.name_revision(actor=actor, unit_id=unit.id, revision_id=needed_uuid(post, "revision", "Board revision"))


def reading(actor: Actor, unit: Unit, post: QueryDict, files: Files) -> None:
    """Take a reading of a test point."""
    answers = {"yes": True, "no": False}
    record_reading(
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
    photo = sent_photo(actor, files)
    units.add_finding(
        actor=actor, unit_id=unit.id, kind=post.get("kind", ""), text=post.get("words", ""), photo_id=photo
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
    "fasteners-back": fasteners_back,
    "fasteners-off": fasteners_off,
    "revision": revision,
    "reading": reading,
    "free-reading": free_reading,
    "hold": hold,
    "lift": lift,
    "place": place,
    "finding": finding,
    "settle": settle,
    "incident": incident,
}
