"""Scanning: by the phone's camera, a scanner, a photo, or the keyboard; at a bench and away from one."""

from urllib.parse import parse_qs, urlsplit
from uuid import uuid4

import pytest

from shop.core.tagcode import printed
from shop.floor.demo.stock_in_trade import House
from shop.people.models import Place, User
from shop.units.label_draw import tag_png
from shop.units.labels import tag_of_bag
from shop.units.models import Unit
from tests.screens.browsing import Browser, forms, said
from tests.screens.conftest import At, text_of
from tests.screens.files import label, no_picture, picture


def code_of(unit: Unit) -> str:
    return unit.bags.get(kind="unit").code


def tie(browser: Browser, bench: Place) -> None:
    assert browser.send("tie", bench=str(bench.id)).status_code == 303


def test_it_opens_a_unit_by_the_address_on_its_tag(as_counter: Browser, unit_at: At) -> None:
    unit = unit_at("queue")
    for code in (code_of(unit), code_of(unit).lower()):
        assert as_counter.see("label", "t", code).url == f"/units/{unit.number}"


def test_it_sends_a_stranger_who_scans_to_the_sign_in_page_and_then_on(
    stranger: Browser, unit_at: At, jun: User
) -> None:
    address = f"/t/{code_of(unit_at('queue'))}"
    asked = stranger.get(address)
    assert parse_qs(urlsplit(asked.url).query)["next"] == [address]


def test_it_reads_what_a_scanner_or_a_person_types(as_counter: Browser, unit_at: At) -> None:
    unit = unit_at("queue")
    code = code_of(unit)
    there = f"/units/{unit.number}"
    assert as_counter.see("scan", text=printed(code)).url == there
    assert as_counter.see("scan", text=printed(code).lower()).url == there
    assert as_counter.see("scan", text=f"http://old-address.example/t/{code}").url == there
    assert as_counter.see("scan", text=f"#{unit.number:04d}").url == there


def test_it_catches_one_wrong_character(as_counter: Browser, unit_at: At) -> None:
    right = printed(code_of(unit_at("queue"))).replace("-", "")
    wrong = ("0" if right[0] != "0" else "1") + right[1:]
    answer = as_counter.see("scan", text=wrong)
    assert answer.status_code == 422
    assert "check character does not match" in said(answer)
    assert answer.context["text"] == wrong


@pytest.mark.parametrize(
    "text", ["ZZZ", "https://shop.example/other", "<script>", "💡", "9" * 9999, "/t/", "#0", "#99999"]
)
def test_it_says_what_to_do_about_what_is_no_code(as_counter: Browser, house: House, text: str) -> None:
    answer = as_counter.see("scan", text=text)
    assert answer.status_code == 422
    assert said(answer)
    assert "<script>" not in said(answer) or "&lt;script&gt;" in text_of(answer)


@pytest.mark.parametrize("letter", ["t", "p", "b"])
def test_it_says_that_an_unknown_label_is_not_in_use(as_counter: Browser, house: House, letter: str) -> None:
    answer = as_counter.see("label", letter, "0000000")
    assert answer.status_code == 404
    assert "No tag with the code" in said(answer)


def test_it_says_that_a_place_or_a_badge_is_no_longer_in_use(as_counter: Browser, house: House, jun: User) -> None:
    place = house.benches[0]
    Place.objects.filter(pk=place.pk).update(retired_at="2026-01-01T00:00Z")
    assert "Bench 1" in said(as_counter.see("label", "p", place.code))
    User.objects.filter(pk=jun.pk).update(retired_at="2026-01-01T00:00Z")
    assert "Jun Okafor" in said(as_counter.see("label", "b", jun.badge_code))


def test_it_shows_what_lies_in_a_place_and_who_carries_a_badge(as_counter: Browser, unit_at: At, jun: User) -> None:
    unit = unit_at("diagnosis")
    assert unit.place is not None
    for answer in (as_counter.see("label", "p", unit.place.code), as_counter.see("label", "b", jun.badge_code)):
        assert f'href="/units/{unit.number}"' in text_of(answer)
    assert "Jun Okafor" in text_of(as_counter.see("label", "b", jun.badge_code))


def test_it_shows_the_unit_of_any_of_its_bags(as_technician: Browser, unit_at: At) -> None:
    unit = unit_at("diagnosis")
    bag = unit.bags.exclude(kind="unit").first() or unit.bags.create(kind="fasteners")
    page = text_of(as_technician.see("label", "t", bag.code))
    assert "This is its bag for fasteners." in page
    assert f'href="/units/{unit.number}"' in page


def test_it_offers_one_or_two_moves_at_a_bench(as_technician: Browser, unit_at: At, house: House) -> None:
    """A tablet tied to its bench makes scanning a bag enough."""
    unit, bench = unit_at("queue"), house.benches[1]
    tie(as_technician, bench)
    page = as_technician.see("label", "t", code_of(unit))
    offered = [address for address in forms(page) if "/do/" in address]
    assert offered == [f"/units/{unit.number}/do/start_diagnosis"]
    form = forms(page)[offered[0]]
    assert form["bench"] == str(bench.id)
    assert as_technician.post(offered[0], form).status_code == 303
    again = [address for address in forms(as_technician.see("label", "t", code_of(unit))) if "/do/" in address]
    assert 1 <= len(again) <= 2


def test_it_offers_nothing_at_a_bench_where_the_unit_does_not_lie(
    as_technician: Browser, unit_at: At, house: House
) -> None:
    unit = unit_at("diagnosis")
    tie(as_technician, house.benches[1])
    page = as_technician.see("label", "t", code_of(unit))
    assert "Nothing to do with it here." in text_of(page)


def test_it_shows_a_unit_that_left_when_its_old_bag_is_scanned(
    as_technician: Browser, unit_at: At, house: House
) -> None:
    unit = unit_at("left")
    tie(as_technician, house.benches[0])
    page = as_technician.see("label", "t", code_of(unit))
    assert page.status_code == 200
    assert "Collected." in text_of(page)
    assert not [address for address in forms(page) if "/do/" in address]


def test_it_unties_a_device_and_ties_it_to_benches_only(as_technician: Browser, house: House, shelf: Place) -> None:
    tie(as_technician, house.benches[0])
    assert "<h1>Bench 1</h1>" in text_of(as_technician.see("bench"))
    for other in (shelf.id, uuid4(), ""):
        as_technician.send("tie", bench=str(other))
        assert "<h1>Bench</h1>" in text_of(as_technician.see("bench"))
    assert as_technician.send("tie", bench="nonsense").status_code == 409


def test_it_forgets_a_bench_that_is_retired(as_technician: Browser, house: House) -> None:
    tie(as_technician, house.benches[0])
    Place.objects.filter(pk=house.benches[0].pk).update(retired_at="2026-01-01T00:00Z")
    assert "<h1>Bench</h1>" in text_of(as_technician.see("bench"))


def test_it_reads_a_photo_of_a_label(as_technician: Browser, unit_at: At) -> None:
    unit = unit_at("queue")
    shot = label(tag_png(tag_of_bag(unit.bags.get(kind="unit").id)))
    sent = as_technician.send("scan-picture", photo=shot)
    assert sent.status_code == 303
    assert as_technician.get(sent.url).url == f"/units/{unit.number}"


def test_it_answers_a_frame_of_the_camera_in_json(as_technician: Browser, unit_at: At) -> None:
    shot = label(tag_png(tag_of_bag(unit_at("queue").bags.get(kind="unit").id)))
    read = as_technician.post("/scan/picture", {"photo": shot}, headers={"X-Frame": "1"})
    assert read.json()["go"].startswith("/scan?")
    blank = as_technician.post("/scan/picture", {"photo": picture()}, headers={"X-Frame": "1"})
    assert (blank.status_code, bool(blank.json()["detail"])) == (422, True)


def test_it_says_that_a_photo_shows_no_code_or_is_none(as_technician: Browser) -> None:
    for sent in (picture(), no_picture(b"words"), None):
        answer = as_technician.send("scan-picture", photo=sent)
        assert answer.status_code == 422
        assert said(answer)


def test_it_shows_my_units_and_the_next_ones_at_the_bench(as_technician: Browser, unit_at: At) -> None:
    mine, waiting, asked = unit_at("diagnosis"), unit_at("queue"), unit_at("intake")
    page = as_technician.see("bench")
    assert f'href="/units/{mine.number}"' in text_of(page).split("Next in turn")[0]
    assert f'href="/units/{waiting.number}"' in text_of(page).split("Next in turn")[1]
    assert f'href="/units/{asked.number}"' not in text_of(page)
    assert f"/units/{waiting.number}/do/start_diagnosis" in forms(page)
