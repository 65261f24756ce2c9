"""Several units of one customer under one link, and none of anybody else's."""

import json
import re

import pytest
from django.test import Client

from shop.core.actor import Actor
from shop.floor.flows.pickup import revoke_link
from shop.people.models import Customer
from shop.quotes.models import Decision, Question
from shop.units import links
from shop.units.models import Unit, UnitPhoto
from tests.api.conftest import Device
from tests.customer_portal.conftest import filled, of, offer, phone_of, token_for
from tests.screens.conftest import At


@pytest.fixture
def three(unit_at: At, bao: Customer) -> tuple[Unit, Unit, Unit]:
    """Two of Ada's, and one of Bảo's."""
    first, second, other = unit_at("intake"), unit_at("intake"), unit_at("intake")
    Unit.objects.filter(pk=other.pk).update(customer=bao)
    return first, second, Unit.objects.get(pk=other.pk)


def test_it_shows_the_units_of_one_customer_and_no_others(three: tuple[Unit, Unit, Unit]) -> None:
    first, second, other = three
    phone = phone_of(first)
    page = phone.get("/c/").content.decode()
    assert "Your other units" in page
    assert f'href="{of(second)}"' in page
    assert of(other) not in page
    assert [phone.get(of(unit)).status_code for unit in three] == [200, 200, 404]
    assert f'href="{of(first)}"' in phone.get(of(second)).content.decode()
    assert "Your other units" not in phone_of(other).get("/c/").content.decode()


def test_it_gives_nothing_of_anybody_elses_unit(three: tuple[Unit, Unit, Unit], helper: Actor) -> None:
    """The number of somebody else's unit answers as one that nobody has."""
    first, _second, other = three
    theirs = offer(helper, other)
    phone = phone_of(first)
    answers = [phone.get(of(other, what)) for what in ("", "part", "receipt", "quote/1.pdf")]
    answers += [phone.get("/c/unit/999999"), phone.get("/c/unit/0")]
    form = {"quote": str(theirs.id), "shown": theirs.content_sha256, "answer": "yes", "question": "Whose is it?"}
    answers += [phone.post(of(other, what), form) for what in ("answer", "question", "reckon", "sums")]
    assert [answer.status_code for answer in answers] == [404] * len(answers)
    assert len({answer.content for answer in answers}) == 1
    assert not Decision.objects.exists()
    assert not Question.objects.exists()


def test_it_shows_pictures_of_each_of_its_units_and_of_no_others(three: tuple[Unit, Unit, Unit]) -> None:
    phone = phone_of(three[0])
    pictures = [UnitPhoto.objects.filter(unit=unit)[0].photo_id for unit in three]
    assert [phone.get(f"/c/photos/{photo}").status_code for photo in pictures] == [200, 200, 404]


def test_it_answers_for_another_unit_of_the_same_customer_and_keeps_which_link_it_was(
    three: tuple[Unit, Unit, Unit], helper: Actor
) -> None:
    first, second, _other = three
    offer(helper, second)
    phone = phone_of(first)
    form = filled(phone.get(of(second)), second) | {"answer": "yes"}
    assert phone.post(of(second, "answer"), form).status_code == 303
    decision = Decision.objects.get()
    used = links.open_link(first)
    assert used is not None
    assert (decision.quote.unit_id, decision.by_id) == (second.id, str(used.id))


def test_it_takes_no_answer_for_one_unit_on_the_page_of_another(three: tuple[Unit, Unit, Unit], helper: Actor) -> None:
    first, second, _other = three
    offer(helper, second)
    phone = phone_of(first)
    form = filled(phone.get(of(second)), second) | {"answer": "yes"}
    assert phone.post(of(first, "answer"), form).status_code == 409
    assert not Decision.objects.exists()


def test_it_keeps_the_others_open_when_one_link_is_withdrawn(three: tuple[Unit, Unit, Unit], owner: Actor) -> None:
    first, second, _other = three
    theirs, mine = phone_of(second), phone_of(first)
    revoke_link(actor=owner, unit_id=second.id)
    assert theirs.get("/c/").status_code == 404
    assert mine.get(of(second)).status_code == 200


def test_the_api_opens_the_same_units(three: tuple[Unit, Unit, Unit], helper: Actor) -> None:
    first, second, other = three
    theirs = offer(helper, other)
    device = Device(f"Link {token_for(first)}")
    told = device.get("link/progress").json()
    assert (told["number"], [each["number"] for each in told["others"]]) == (str(first), [str(second)])
    assert device.get(f"link/progress?unit={second.number}").json()["number"] == str(second)
    assert [device.get(f"link/progress?unit={number}").status_code for number in (other.number, 999_999)] == [404, 404]
    assert device.post("link/questions", {"question": "Whose?", "unit": other.number}).status_code == 404
    body = {"approve": True, "shown_sha256": theirs.content_sha256}
    assert device.post(f"link/quotes/{theirs.id}/decision", body).status_code == 404
    assert not Decision.objects.exists()


def test_a_forwarded_page_asks_for_the_link(three: tuple[Unit, Unit, Unit]) -> None:
    """The address of a page alone opens nothing: what opens it is in the cookie."""
    for unit in three:
        answer = Client().get(of(unit))
        assert answer.status_code == 404
        assert "Send me my link" in answer.content.decode()


def test_it_asks_the_progress_of_the_unit_that_is_shown(three: tuple[Unit, Unit, Unit]) -> None:
    first, second, _other = three
    phone = phone_of(first)
    page = phone.get(of(second)).content.decode()
    progress = re.search(r'data-progress="([^"]+)"', page)
    known = re.search(r'data-known="([^"]+)"', page)
    assert progress is not None
    assert known is not None
    told = json.loads(phone.get(progress[1]).content)
    assert told["number"] == str(second)
    assert told["changed_at"].replace("Z", "+00:00") == known[1]
