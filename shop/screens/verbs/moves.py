"""The moves of the journey, as forms post them."""

from django.http import QueryDict

from shop.core.actor import Actor
from shop.floor.flows import bench, intake, pickup, testing
from shop.floor.stages import Move
from shop.screens.http import given_uuid, given_version
from shop.screens.verbs.common import Files, Verb, given_day
from shop.units.models import Unit


def take_in(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Put it on a shelf and into the queue."""
    intake.take_in(actor=actor, unit_id=unit.id, version=given_version(post), place_id=given_uuid(post, "place"))


def refuse(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Refuse it at intake."""
    intake.refuse(actor=actor, unit_id=unit.id, text=post.get("words", ""), version=given_version(post))


def _start(move: Move) -> Verb:
    def start(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
        bench.start(
            actor=actor, unit_id=unit.id, move=move, bench_id=given_uuid(post, "bench"), version=given_version(post)
        )  # fmt: skip

    return start


def finish_diagnosis(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """End the diagnosis."""
    place = given_uuid(post, "place")
    bench.finish_diagnosis(actor=actor, unit_id=unit.id, place_id=place, version=given_version(post))


def park(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Take it off the bench with the reason."""
    bench.park(
        actor=actor,
        unit_id=unit.id,
        text=post.get("words", ""),
        hold=post.get("hold", ""),
        due_on=given_day(post, "due_on", "Due"),
        place_id=given_uuid(post, "place"),
        version=given_version(post),
    )


def finish_bench(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Send it to testing."""
    bench.finish_bench(actor=actor, unit_id=unit.id, version=given_version(post))


def pass_test(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Send it to pickup."""
    testing.pass_test(actor=actor, unit_id=unit.id, place_id=given_uuid(post, "place"), version=given_version(post))


def fail_test(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Send it back to the bench."""
    testing.fail_test(
        actor=actor,
        unit_id=unit.id,
        text=post.get("words", ""),
        bench_id=given_uuid(post, "bench"),
        version=given_version(post),
    )


def recall(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Take it back from pickup."""
    testing.recall(actor=actor, unit_id=unit.id, text=post.get("words", ""), version=given_version(post))


def return_unopened(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Give it back unopened."""
    pickup.return_unopened(actor=actor, unit_id=unit.id, version=given_version(post))


def hand_over(actor: Actor, unit: Unit, post: QueryDict, _files: Files) -> None:
    """Release it."""
    pickup.hand_over(
        actor=actor,
        unit_id=unit.id,
        outcome=post.get("outcome", ""),
        check_kind=post.get("check_kind", ""),
        code=post.get("code", ""),
        document=post.get("document", ""),
        version=given_version(post),
    )


VERBS: dict[str, Verb] = {
    Move.TAKE_IN: take_in,
    Move.REFUSE: refuse,
    Move.START_DIAGNOSIS: _start(Move.START_DIAGNOSIS),
    Move.START_WORK: _start(Move.START_WORK),
    Move.START_CLOSING: _start(Move.START_CLOSING),
    Move.FINISH_DIAGNOSIS: finish_diagnosis,
    Move.PARK: park,
    Move.FINISH_BENCH: finish_bench,
    Move.PASS_TEST: pass_test,
    Move.FAIL_TEST: fail_test,
    Move.RECALL: recall,
    Move.RETURN_UNOPENED: return_unopened,
    Move.HAND_OVER: hand_over,
}
