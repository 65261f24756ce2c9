"""Whatever changes what there is to plan asks for a new plan, once, in the same transaction."""

from collections.abc import Callable
from datetime import date

import pytest

from shop.core import duework
from shop.core.duework import CHANGED, REPLAN
from shop.core.models import DueWork
from shop.core.reasons import Refused
from shop.floor.demo.journeys import Journey
from shop.floor.flows import bench, quote
from shop.floor.stages import Move


def rings(act: Callable[[], object]) -> bool:
    DueWork.objects.all().delete()
    act()
    return DueWork.objects.filter(task=REPLAN, subject=CHANGED, state="due").count() == 1


def test_every_step_of_the_journey_rings(queued: Journey) -> None:
    steps: list[Callable[[], object]] = [
        lambda: queued.start(Move.START_DIAGNOSIS, 0),
        lambda: queued.open_case().look_inside("QL-B2"),
        queued.quote,
        lambda: queued.answer(approve=True),
        lambda: queued.start(Move.START_WORK, 0),
        queued.work,
        queued.passes,
        queued.leaves,
    ]
    assert [rings(step) for step in steps] == [True] * len(steps)


def test_holds_ring_when_they_open_and_when_they_are_lifted(queued: Journey) -> None:
    actor, unit_id = queued.house.technician, queued.unit.id
    held = {"actor": actor, "unit_id": unit_id, "kind": "parts"}
    assert rings(lambda: bench.hold_unit(**held, text="two cans", due_on=date(2030, 1, 1)))  # type: ignore[arg-type]
    assert rings(lambda: bench.lift_hold(**held))  # type: ignore[arg-type]


def test_a_quote_that_is_withdrawn_rings_and_one_that_is_declined_too(diagnosed: Journey) -> None:
    diagnosed.quote()
    sent = diagnosed.unit.quotes.get(state="sent")
    owner = diagnosed.house.owner
    assert rings(lambda: quote.withdraw_quote(actor=owner, quote_id=sent.id, reason="a slip"))
    diagnosed.quote()
    assert rings(lambda: diagnosed.answer(approve=False))


def test_what_is_refused_rings_for_nothing(queued: Journey) -> None:
    def act() -> None:
        with pytest.raises(Refused):
            bench.lift_hold(actor=queued.house.technician, unit_id=queued.unit.id, kind="parts")

    assert not rings(act)


def test_ringing_twice_is_ringing_once(db: None) -> None:
    duework.wake(REPLAN, CHANGED)
    duework.wake(REPLAN, CHANGED)
    assert DueWork.objects.filter(task=REPLAN).count() == 1
