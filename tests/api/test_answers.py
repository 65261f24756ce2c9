"""What the API answers: problems, versions, repeats, pages."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shop.boards.models import DeviceModel
from shop.core.actor import Actor
from shop.core.models import TrailEntry
from shop.floor.flows.intake import take_in
from shop.people.models import Customer, Place
from shop.units.models import Bag, Unit
from tests.api.conftest import Device


def test_a_refusal_is_a_problem_with_a_sentence(tablet: Device, queued: Unit, bench_one: Place) -> None:
    body = {"move": "start_work", "bench": str(bench_one.id)}
    answer = tablet.post(f"units/{queued.id}/moves", body, **{"If-Match": f'"{queued.version}"'})
    assert answer.status_code == 409
    assert answer.headers["Content-Type"] == "application/problem+json"
    problem = answer.json()
    assert problem["type"] == "/api/v1/problems/quote_missing"
    assert problem["detail"].startswith("There is no approved quote.")
    assert problem["reasons"][0]["code"] == "quote_missing"


def test_a_field_that_is_wrong_is_named(desk: Device, lantern: DeviceModel) -> None:
    answer = desk.post("units", {"model": str(lantern.id), "spending_limit_minor": -1, "complain": "x"})
    assert answer.status_code == 422
    assert {reason["field"] for reason in answer.json()["reasons"]} >= {"complain"}


def test_what_is_not_there_is_404_and_no_id_is_no_error(desk: Device) -> None:
    assert desk.get("units/00000000-0000-0000-0000-000000000194").status_code == 404
    assert desk.get("units/not-an-id").status_code == 404


def queued_by(unit: Unit) -> str:
    """What the newest row of its trail says happened."""
    last = TrailEntry.objects.filter(subject_id=unit.pk).order_by("-seq").first()
    assert last is not None
    return last.what


def test_a_change_needs_the_version_that_was_seen(tablet: Device, queued: Unit, bench_one: Place) -> None:
    path, body = f"units/{queued.id}/moves", {"move": "start_diagnosis", "bench": str(bench_one.id)}
    assert tablet.post(path, body).status_code == 428
    assert tablet.post(path, body, **{"If-Match": "yesterday"}).status_code == 400
    stale = tablet.post(path, body, **{"If-Match": f'"{queued.version - 1}"'})
    assert (stale.status_code, stale.headers["ETag"]) == (412, f'"{queued.version}"')
    changed = stale.json()["changed"]
    assert (changed["version"], changed["last"]["what"]) == (queued.version, queued_by(queued))
    seen = tablet.get(f"units/{queued.id}").headers["ETag"]
    done = tablet.post(path, body, **{"If-Match": seen})
    assert (done.status_code, done.json()["stage"]) == (200, "bench")
    assert done.headers["ETag"] != seen


def test_a_repeat_gets_the_first_answer_and_does_nothing(desk: Device, queued: Unit) -> None:
    body = {"kind": "fasteners", "contents": "rear"}
    first = desk.post(f"units/{queued.id}/bags", body, **{"Idempotency-Key": "tap-1"})
    again = desk.post(f"units/{queued.id}/bags", body, **{"Idempotency-Key": "tap-1"})
    assert (first.status_code, again.status_code) == (201, 201)
    assert first.json() == again.json()
    assert again.headers["Idempotency-Replayed"] == "true"
    assert Bag.objects.filter(unit=queued, kind="fasteners").count() == 1


def test_a_key_that_was_used_for_something_else_is_refused(desk: Device, queued: Unit) -> None:
    path = f"units/{queued.id}/bags"
    desk.post(path, {"kind": "fasteners"}, **{"Idempotency-Key": "tap-1"})
    answer = desk.post(path, {"kind": "removed"}, **{"Idempotency-Key": "tap-1"})
    assert (answer.status_code, answer.json()["reasons"][0]["code"]) == (422, "key_reused")


def test_a_repeat_of_a_move_is_answered_though_its_version_is_old(
    tablet: Device, queued: Unit, bench_one: Place
) -> None:
    body = {"move": "start_diagnosis", "bench": str(bench_one.id)}
    headers = {"If-Match": f'"{queued.version}"', "Idempotency-Key": "tap-2"}
    first = tablet.post(f"units/{queued.id}/moves", body, **headers)
    again = tablet.post(f"units/{queued.id}/moves", body, **headers)
    assert first.json() == again.json()
    assert again.headers["Idempotency-Replayed"] == "true"


def test_pages_lose_and_repeat_nothing_while_units_come_in(
    desk: Device, write: Callable[..., Unit], ada: Customer
) -> None:
    before = [write(ada) for _ in range(5)]
    seen, after = [], ""
    for _ in range(10):
        answer = desk.get(f"units?limit=2&after={after}")
        seen += [unit["number"] for unit in answer.json()["items"]]
        write(ada)
        after = answer.json()["next"] or ""
        if not after:
            break
    assert len(seen) == len(set(seen))
    assert {unit.number for unit in before} <= set(seen)


@pytest.mark.parametrize("path", ["units", "customers", "places", "services", "staff", "announcements"])
@pytest.mark.usefixtures("shelf")
def test_a_list_takes_a_fixed_number_of_queries(
    desk: Device, path: str, write: Callable[..., Unit], helper: Actor, ada: Customer
) -> None:
    assert desk.get(path).status_code == 200  # the token's first use is written down
    counts = []
    for _ in range(2):
        for _more in range(4):
            take_in(actor=helper, unit_id=write(ada).id)
        with CaptureQueriesContext(connection) as asked:
            assert desk.get(path).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_a_token_is_shown_once(boss: Device, jun: object) -> None:
    user = next(person for person in boss.get("staff").json()["items"] if person["role"] == "technician")
    path, headers = f"staff/{user['id']}/tokens", {"Idempotency-Key": "issue-1"}
    assert boss.post(path, {"name": "scale"}, **headers).json()["token"].startswith("wl_")
    assert boss.post(path, {"name": "scale"}, **headers).json()["token"] is None
