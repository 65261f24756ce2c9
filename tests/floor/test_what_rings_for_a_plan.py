"""Whatever changes what a plan is made from asks for a new plan in the same transaction, and nothing else does.

What a plan is made from is what `gather` reads. So time stands still here, and each action is done between two
readings. An action that is new is in none of the lists: a test says so, until somebody has thought about it.
"""

import ast
from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import TypeGuard

import pytest
import time_machine
from django.db import transaction

from shop.books.queries import amount_due
from shop.core import duework
from shop.core.duework import REPLAN
from shop.core.models import DueWork
from shop.core.profile import change_profile
from shop.core.reasons import Refused
from shop.floor.demo.journeys import Journey
from shop.floor.flows import bench, intake, money, quote
from shop.floor.flows.intake import WriteUp
from shop.floor.stages import Move
from shop.planning import actions as planning
from shop.quotes.actions import draft_quote
from shop.quotes.queries import present_quote
from shop.testing.queries import procedure
from shop.units.models import Unit
from tests.core.source import calls, trees
from tests.floor import planned
from tests.floor.plan_changes import CHANGES, LEAVES_ALONE, NEVER
from tests.floor.planned import Act, at_counter, by_owner, jun, read, rings, tick_repair

pytestmark = pytest.mark.usefixtures("frozen")
_FACES = {"screens", "demo", "walkthrough", "management"}


@pytest.fixture
def written_up(queued: Journey) -> Journey:
    """Another unit of the same customer, not taken in yet."""
    given = WriteUp(
        customer_id=queued.unit.customer_id, model_id=queued.unit.model_id, complaint="No sound",
        consents={"save_data": True, "pictures": True, "work": True},
    )  # fmt: skip
    journey = Journey(queued.house, days_ago=1, seed=2)
    journey.unit = intake.write_up(actor=queued.house.counter, given=given)
    return journey


@pytest.fixture
def opened(queued: Journey) -> Journey:
    """On a bench for its diagnosis, the case open."""
    return queued.start(Move.START_DIAGNOSIS, 0).open_case()


@pytest.fixture
def sent(diagnosed: Journey) -> Journey:
    """A quote is with the customer."""
    return diagnosed.quote()


@pytest.fixture
def run_out(sent: Journey, frozen: time_machine.Traveller) -> Journey:
    """Its last day has passed."""
    frozen.shift(timedelta(days=60))
    return sent


@pytest.fixture
def drafted(diagnosed: Journey) -> Journey:
    """A quote is written, and within the customer's limit."""
    Unit.objects.filter(pk=diagnosed.unit.pk).update(spending_limit_minor=10**6)
    draft_quote(actor=diagnosed.house.counter, unit_id=diagnosed.unit.id)
    return diagnosed


@pytest.fixture
def declined(queued: Journey) -> Journey:
    """Declined before it was opened."""
    return queued.quote().answer(approve=False)


@pytest.fixture
def waits_for_deposit(diagnosed: Journey) -> Journey:
    """Approved, and half of it asked for before work begins."""
    change_profile(actor=diagnosed.house.owner, deposit_percent=50)
    return diagnosed.quote().answer(approve=True)


def decide(journey: Journey) -> None:
    asked = present_quote(journey.unit.id)
    assert asked is not None
    quote.decide_quote(
        actor=journey.house.counter, quote_id=asked.id, approve=True, shown_sha256=asked.content_sha256
    )  # fmt: skip


@pytest.fixture
def without_a_day(sent: Journey) -> Journey:
    """Approved by a process that ended before it could name the day."""
    with transaction.atomic():
        decide(sent)
    return sent


@pytest.fixture
def paid_without_a_day(waits_for_deposit: Journey) -> Journey:
    """The deposit taken by such a process."""
    with transaction.atomic():
        planned.pay(waits_for_deposit)
    return waits_for_deposit


@pytest.fixture
def deposit_paid(waits_for_deposit: Journey) -> Journey:
    """The half is paid, and no more."""
    planned.pay(waits_for_deposit)
    return waits_for_deposit


@pytest.fixture
def all_paid(deposit_paid: Journey) -> Journey:
    """The other half is paid as well."""
    unit = deposit_paid.unit
    money.take_payment(**at_counter(deposit_paid), amount_minor=amount_due(unit).due_minor, method="cash")
    return deposit_paid


@pytest.fixture
def at_work_paid(deposit_paid: Journey) -> Journey:
    """On a bench, the deposit paid."""
    return deposit_paid.start(Move.START_WORK, 0)


@pytest.fixture
def held(queued: Journey) -> Journey:
    """It waits for parts, nobody knows how long."""
    bench.hold_unit(actor=queued.house.technician, unit_id=queued.unit.id, kind="parts", text="Two cans")
    return queued


@pytest.fixture
def at_work(approved: Journey) -> Journey:
    """On a bench, with a broken trace that is mended with the work."""
    planned.find(approved, "now")
    return approved.start(Move.START_WORK, 0)


@pytest.fixture
def mended(at_work: Journey) -> Journey:
    """On a bench, the trace mended."""
    return tick_repair(at_work)


@pytest.fixture
def tested(approved: Journey) -> Journey:
    """In testing."""
    return approved.start(Move.START_WORK, 0).work()


@pytest.fixture
def comeback(ready: Journey) -> Journey:
    """Here again after it was collected."""
    again = WriteUp(
        customer_id=ready.unit.customer_id, model_id=ready.unit.model_id, complaint="Grey again",
        earlier_unit_id=ready.leaves().unit.id,
    )  # fmt: skip
    ready.unit = intake.write_up(actor=ready.house.counter, given=again)
    return ready


@pytest.fixture
def pinned(approved: Journey) -> Journey:
    """Kept with the technician."""
    planning.pin_unit(**by_owner(approved), technician_id=jun(approved)["technician_id"])
    return approved


@pytest.fixture
def first(approved: Journey) -> Journey:
    """It goes before the others."""
    planning.put_first(**by_owner(approved))
    return approved


def _ids(cases: list[tuple[str, str, Act]]) -> list[str]:
    return [f"{verb} {at}" for at, (verb, _before, _act) in enumerate(cases)]


@pytest.mark.parametrize(("_verb", "before", "act"), CHANGES, ids=_ids(CHANGES))
def test_what_changes_the_plan_rings(request: pytest.FixtureRequest, _verb: str, before: str, act: Act) -> None:
    journey: Journey = request.getfixturevalue(before)
    seen = read()
    rung = rings(lambda: act(journey))
    assert (read() != seen, rung) == (True, True)


@pytest.mark.parametrize(("_verb", "before", "act"), LEAVES_ALONE, ids=_ids(LEAVES_ALONE))
def test_what_leaves_the_plan_alone_does_not(request: pytest.FixtureRequest, _verb: str, before: str, act: Act) -> None:
    journey: Journey = request.getfixturevalue(before)
    seen = read()
    rung = rings(lambda: act(journey))
    assert (read() != seen, rung) == (False, False)


def test_every_action_is_known_to_change_the_plan_or_not_to() -> None:
    known = {verb for verb, _before, _act in CHANGES} | NEVER
    assert set(actions()) == known


def actions() -> Iterator[str]:
    """Yield what takes an actor and is offered to faces, by room, module and name: actions and flows."""
    for path, tree in trees().items():
        if path.parts[0] != "shop" or _FACES & {*path.parts} or path.name == "actor.py":
            continue
        offered = path.parent.name == "flows" or path.stem.endswith("actions")
        for each in tree.body:
            if _takes_actor(each) and (offered or any(calls(each, "permit"))):
                yield f"{path.parent.name}.{path.stem}.{each.name}"


def _takes_actor(each: ast.stmt) -> TypeGuard[ast.FunctionDef]:
    if not isinstance(each, ast.FunctionDef) or each.name.startswith("_"):
        return False
    return any(argument.arg == "actor" for argument in each.args.kwonlyargs)


def test_every_step_of_the_journey_rings(queued: Journey) -> None:
    steps: list[Callable[[], object]] = [
        lambda: queued.start(Move.START_DIAGNOSIS, 0),
        lambda: queued.open_case().look_inside("QL-B2"),
        queued.quote,
        lambda: queued.answer(approve=True),
        lambda: queued.start(Move.START_WORK, 0),
        queued.work,
        queued.passes,
    ]
    assert [rings(step) for step in steps] == [True] * len(steps)


def test_a_reading_that_is_no_soak_leaves_the_plan_alone(tested: Journey) -> None:
    picture = next(point for point in procedure(tested.unit, "closed") if point.name == "Picture")
    taken = planned.at_bench(tested) | {"point_id": picture.id, "answer": True}
    assert not rings(lambda: planned.testing.take_reading(**taken))


def test_what_is_refused_rings_for_nothing(queued: Journey) -> None:
    def act() -> None:
        with pytest.raises(Refused):
            bench.lift_hold(actor=queued.house.technician, unit_id=queued.unit.id, kind="parts")

    assert not rings(act)


def test_ringing_twice_is_ringing_once(db: None) -> None:
    duework.plan_anew()
    duework.plan_anew()
    assert DueWork.objects.filter(task=REPLAN).count() == 1
