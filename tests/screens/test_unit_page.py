"""A unit's page: what may happen next and why not, and what stale and repeated forms do."""

import re
from typing import Any
from uuid import uuid4

import pytest

from shop.books.deposits import open_request
from shop.books.models import Payment
from shop.core.profile import change_profile
from shop.floor.demo.stock_in_trade import House
from shop.floor.flows import bench, money
from shop.floor.stages import Move
from shop.people.models import Place
from shop.units.models import Hold, Stage, Unit
from tests.screens.browsing import Browser, forms, said
from tests.screens.conftest import At, text_of, trail_of


def test_it_offers_what_may_be_done_next_and_says_why_the_rest_may_not(as_technician: Browser, unit_at: At) -> None:
    unit = unit_at("queue")
    page = as_technician.see("unit", unit.number)
    assert f"/units/{unit.number}/do/start_diagnosis" in forms(page)
    assert f"/units/{unit.number}/do/start_work" not in forms(page)
    assert "Work on it: not yet" in text_of(page)
    assert "quote" in text_of(page).split("Work on it: not yet")[1].split("</ul>")[0]


def test_it_gives_each_form_a_key_of_its_own_and_the_version(as_owner: Browser, unit_at: At) -> None:
    unit = unit_at("diagnosis")
    found = forms(as_owner.see("unit", unit.number))
    found = {address: fields for address, fields in found.items() if "/do/" in address}
    keys = [fields["once"] for fields in found.values()]
    assert len(keys) == len(set(keys))
    assert min(map(len, keys)) >= 32
    assert {fields["version"] for fields in found.values()} == {str(unit.version)}


def test_it_refuses_with_every_reason_and_changes_nothing(as_technician: Browser, unit_at: At) -> None:
    unit = unit_at("diagnosis")
    before = trail_of(unit)
    answer = as_technician.do(unit, "finish_diagnosis", version=str(unit.version))
    assert answer.status_code == 422
    assert len(said(answer).split(". ")) >= 3
    assert trail_of(unit) == before


def test_a_deposit_that_is_not_covered_shows_while_the_work_goes_on(
    as_owner: Browser, unit_at: At, house: House
) -> None:
    change_profile(actor=house.owner, deposit_percent=50)
    unit = unit_at("approved")
    deposit = open_request(unit.id)
    assert deposit is not None
    taken: dict[str, Any] = {"unit_id": unit.id, "method": "cash"}
    money.take_payment(actor=house.counter, amount_minor=deposit.left_minor, **taken)
    bench.start(actor=house.technician, unit_id=unit.id, move=Move.START_WORK, bench_id=house.benches[0].id)
    calm = text_of(as_owner.see("unit", unit.number))
    assert "deposit is not covered" not in calm
    money.give_back(actor=house.owner, amount_minor=2500, reason="A slip", **taken)
    page = text_of(as_owner.see("unit", unit.number))
    assert "The deposit is not covered: $25.00 of it is missing. The work goes on." in page
    assert "Do without the deposit" in page
    assert "No longer promised" not in page
    assert page.count("<details") == calm.count("<details") + 1


@pytest.mark.parametrize(
    ("where", "verb"),
    [("intake", "pass_test"), ("queue", "hand_over"), ("pickup", "start_work"), ("testing", "take_in")],
)
def test_it_says_why_a_move_of_another_stage_is_not_to_be(
    as_owner: Browser, unit_at: At, where: str, verb: str
) -> None:
    unit = unit_at(where)
    sent = {"outcome": "collected", "check_kind": "identity", "document": "licence"}
    answer = as_owner.do(unit, verb, bench=str(Place.objects.get(name="Bench 2").id), **sent)
    assert answer.status_code == 422
    assert said(answer)
    assert Unit.objects.get(pk=unit.pk).stage == unit.stage


def test_it_tells_a_stale_page_that_somebody_was_quicker(
    as_technician: Browser, as_counter: Browser, unit_at: At
) -> None:
    unit = unit_at("intake")
    assert as_counter.do(unit, "change", serial="QL-5", version=str(unit.version)).status_code == 303
    answer = as_technician.do(unit, "change", serial="QL-6", version=str(unit.version))
    assert answer.status_code == 422
    assert "Somebody changed this in the meantime" in said(answer)
    assert Unit.objects.get(pk=unit.pk).serial == "QL-5"


def test_it_does_a_form_once_however_often_it_comes(as_counter: Browser, unit_at: At) -> None:
    unit = unit_at("pickup")
    as_counter.do(unit, "bill")
    form = {"amount": "5", "method": "cash", "reference": "", "once": uuid4().hex}
    answers = [as_counter.do(unit, "pay", **form) for _ in range(3)]
    assert [(answer.status_code, answer.url) for answer in answers] == [(303, answers[0].url)] * 3
    assert Payment.objects.count() == 1
    another = as_counter.do(unit, "pay", **(form | {"amount": "6"}))
    assert "already used for something else" in said(another)
    assert Payment.objects.count() == 1


def test_money_goes_back_once_from_the_owner_and_never_more_than_was_paid(
    as_owner: Browser, as_counter: Browser, unit_at: At
) -> None:
    unit = unit_at("pickup")
    as_counter.do(unit, "bill")
    address = f"/units/{unit.number}/do/give-back"
    assert address not in forms(as_owner.see("unit", unit.number))
    as_counter.do(unit, "pay", amount="5", method="cash")
    assert address not in forms(as_counter.see("unit", unit.number))
    assert address in forms(as_owner.see("unit", unit.number))
    form = {"amount": "2.50", "method": "transfer", "words": "A scratch", "part": "back", "once": uuid4().hex}
    assert [as_owner.do(unit, "give-back", **form).status_code for _ in range(2)] == [303, 303]
    assert list(Payment.objects.order_by("created_at").values_list("amount_minor", flat=True)) == [500, -250]
    too_much = as_owner.do(unit, "give-back", **(form | {"amount": "2.51", "once": uuid4().hex}))
    assert too_much.status_code == 422
    assert "2.50" in said(too_much)
    page = too_much.content.decode()
    kept = page[page.index('<details id="back" open>') :].split("</details>")[0]
    assert 'value="2.51"' in kept
    assert 'value="A scratch"' in kept
    assert 'value="transfer" selected' in kept
    wordless = as_owner.do(unit, "give-back", **(form | {"words": "", "once": uuid4().hex}))
    assert "Reason" in said(wordless)
    assert Payment.objects.count() == 2


def test_it_lets_a_refused_form_be_mended_and_sent_again(as_counter: Browser, unit_at: At) -> None:
    """A refusal does not use the key up, so that pressing the button again is not answered by the refusal."""
    unit, key = unit_at("pickup"), uuid4().hex
    as_counter.do(unit, "bill")
    assert as_counter.do(unit, "pay", amount="five", method="cash", once=key).status_code == 422
    assert as_counter.do(unit, "pay", amount="5", method="cash", once=key).status_code == 303


def test_it_keeps_keys_of_different_people_apart(as_counter: Browser, as_owner: Browser, unit_at: At) -> None:
    unit, key = unit_at("intake"), uuid4().hex
    assert as_counter.do(unit, "bag", kind="removed", once=key).status_code == 303
    assert as_owner.do(unit, "bag", kind="removed", once=key).status_code == 303
    assert unit.bags.filter(kind="removed").count() == 2


def test_it_goes_back_to_the_part_of_the_page_that_the_form_came_from(as_counter: Browser, unit_at: At) -> None:
    unit = unit_at("intake")
    assert as_counter.do(unit, "bag", kind="removed", part="money").url == f"/units/{unit.number}#money"
    assert as_counter.do(unit, "bag", kind="removed", part="//evil.example").url == f"/units/{unit.number}"


@pytest.mark.parametrize(
    ("verb", "fields"),
    [
        ("pay", {"amount": "-5", "method": "cash"}), ("pay", {"amount": "1e9", "method": "cash"}),
        ("pay", {"amount": "5.001", "method": "cash"}), ("cost", {"words": "x", "amount": "99999999999999"}),
        ("fasteners-out", {"where": "rear", "count": "-1"}), ("fasteners-out", {"where": "rear", "count": "9999999"}),
        ("reading", {"point": "nonsense", "value": "5"}),
        ("free-reading", {"name": "x", "quantity": "V", "value": "NaN"}),
        ("free-reading", {"name": "x", "quantity": "V", "value": "1e999999"}), ("promise", {"on": "9999-12-31"}),
        ("promise", {"on": "2020-01-01"}), ("hold", {"hold": "other", "words": "x", "due_on": "yesterday"}),
        ("hold", {"hold": "approval", "words": "x"}), ("hold", {"hold": "deposit", "words": "x"}),
        ("lift", {"hold": "deposit"}), ("finding", {"kind": "ghosts", "words": "x"}),
        ("bag", {"kind": "unit"}), ("change", {"complaint": "x" * 2001}),
        ("parcel-out", {"carrier": "", "declared": "1"}),
        ("settle", {"finding": str(uuid4()), "words": "x"}), ("place", {"place": str(uuid4())}),
        ("revision", {"revision": str(uuid4())}), ("tick", {"step": str(uuid4())}), ("no-such-verb", {}),
        ("fasteners-back", {"group": str(uuid4()), "count": "1"}), ("comeback", {"free": "yes", "words": "x"}),
        ("answer", {"quote": str(uuid4()), "answer": "yes"}), ("answer", {"quote": "", "taken": "nonsense"}),
    ],
)  # fmt: skip
def test_it_answers_what_cannot_be_with_a_sentence(
    as_owner: Browser, unit_at: At, verb: str, fields: dict[str, str]
) -> None:
    unit = unit_at("diagnosis")
    before = trail_of(unit)
    answer = as_owner.do(unit, verb, **fields)
    assert answer.status_code == 422
    assert said(answer)
    assert trail_of(unit) == before


@pytest.mark.parametrize("number", ["0", "99", "4294967296", "9223372036854775808", "9" * 100, "9" * 5000])
def test_it_knows_no_unit_of_an_absurd_number(as_owner: Browser, house: House, number: str) -> None:
    for address in (f"/units/{number}", f"/units/{number}/labels", f"/units/{number}/receipt"):
        assert as_owner.get(address).status_code == 404
    assert as_owner.post(f"/units/{number}/do/take_in").status_code == 404


def test_it_shows_words_as_words(as_owner: Browser, unit_at: At) -> None:
    unit = unit_at("intake")
    as_owner.do(unit, "change", complaint="<script>alert(1)</script>", condition='"><img src=x>', serial="{{ 7 }}")
    page = text_of(as_owner.see("unit", unit.number))
    assert "<script>alert" not in page
    assert "<img src=x>" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


def test_it_tells_what_was_written_in_the_trail(as_owner: Browser, unit_at: At) -> None:
    unit = unit_at("intake")
    as_owner.do(unit, "hold", hold="customer", words="brings the لوحة 🎛️")
    assert "brings the لوحة 🎛️" in text_of(as_owner.see("unit", unit.number))


def test_it_offers_to_lift_what_people_lift_and_nothing_else(as_owner: Browser, unit_at: At) -> None:
    unit = unit_at("queue")
    for kind in Hold.Kind:
        Hold.objects.create(unit=unit, kind=kind, words="for a while")
    page = text_of(as_owner.see("unit", unit.number))
    lifted = re.findall(r'name="hold" value="(\w+)"', page)
    assert sorted(lifted) == ["customer", "other", "parts"]
    offered = re.search(r'<select id="hold"[^>]*>(.*?)</select>', page, re.DOTALL)
    assert offered is not None
    assert re.findall(r'value="(\w+)"', offered[1]) == ["parts", "customer", "other"]


def test_it_shows_a_unit_that_left_and_offers_money_back_alone(as_owner: Browser, unit_at: At) -> None:
    unit = unit_at("left")
    page = as_owner.see("unit", unit.number)
    assert "Collected." in text_of(page)
    assert [address for address in forms(page) if "/do/" in address] == [f"/units/{unit.number}/do/give-back"]


def test_it_moves_only_when_the_shelf_has_room(as_counter: Browser, unit_at: At, shelf: Place) -> None:
    first, second = unit_at("queue"), unit_at("intake")
    Place.objects.filter(pk=shelf.pk).update(capacity=1)
    answer = as_counter.do(second, "take_in", place=str(shelf.id))
    assert "Shelf A" in said(answer)
    assert Unit.objects.get(pk=second.pk).stage == Stage.INTAKE
    assert first.place == shelf
