"""Options of a quote: one of several, at most one, one that needs another, and sets that somebody tampered with."""

import html
import re
from collections.abc import Iterable
from typing import Any

import pytest
from django.test import Client

from shop.boards.models import Service
from shop.core.actor import Actor
from shop.core.models import TrailEntry
from shop.notices.models import Notice
from shop.quotes.models import Decision, QuoteLine, QuoteVersion
from shop.quotes.operations import AddLine
from shop.units import links
from shop.units.models import Hold, Unit
from tests.api.conftest import Device
from tests.customer_portal.conftest import filled, of, offer, phone_of
from tests.screens.browsing import Browser, said
from tests.screens.conftest import At

BOARD = ["Video output board", "Ribbon for it"]
# What is taken, by the words of the lines, and the sentence that refuses it.
WRONG = [
    ((), "Of “Shell” exactly one can be taken. Choose one of them and answer again."),
    (("Clear shell", "Smoke shell"), "Of “Shell” exactly one can be taken."),
    (("Clear shell", "Component cable", "Composite cable"), "Of “Cable” at most one can be taken."),
    (("Clear shell", "Filter in the cable"), "“Filter in the cable” only makes sense together with “Component cable”."),
    (("Clear shell", "Video output board"), "The lines of one option belong together."),
]


def option(words: str, minor: int, **more: Any) -> AddLine:
    return AddLine(kind="part", words=words, unit_minor=minor, optional=True, **more)


@pytest.fixture
def offered(unit_at: At, helper: Actor, video_board: Service) -> QuoteVersion:
    """60.00 for the recap and a discount of 10 % on all, with five kinds of options."""
    return offer(
        helper,
        unit_at("intake"),
        AddLine(kind="discount", words="For a regular", percent_millipercent=10_000),
        option("Clear shell", 2005, one_of="Shell", taken=True),
        option("Smoke shell", 2315, one_of="Shell"),
        option("Component cable", 1500, one_of="Cable", may_skip=True),
        option("Composite cable", 999, one_of="Cable", may_skip=True),
        option("Filter in the cable", 333),
        option("Video output board", 3800, service_id=video_board.id),
        option("Ribbon for it", 201, service_id=video_board.id),
        needs={"Filter in the cable": "Component cable"},
    )


def ids(quote: QuoteVersion, words: Iterable[str]) -> list[str]:
    return [str(quote.lines.get(words=each).id) for each in words]


def everything(unit: Unit) -> tuple[object, ...]:
    """All that an answer would change."""
    return (
        list(QuoteVersion.objects.filter(unit=unit).values()),
        list(QuoteLine.objects.filter(quote__unit=unit).values()),
        TrailEntry.objects.count(),
        Notice.objects.count(),
        Decision.objects.count(),
        Hold.objects.filter(lifted_at=None).count(),
    )


def total_on(answer: Any) -> int:
    found = re.search(r'data-total="(\d+)"', answer.content.decode())
    assert found is not None
    return int(found[1])


def device_of(unit: Unit) -> Device:
    link = links.open_link(unit)
    assert link is not None
    return Device(f"Link {links.token_of(link)}")


def test_it_offers_each_kind_of_option_as_what_it_is(offered: QuoteVersion) -> None:
    page = phone_of(offered.unit).get(of(offered.unit)).content.decode()
    inputs = re.findall(r'<input type="(radio|checkbox)" name="(taken[^"]*)" value="([^"]*)"', page)
    named: dict[str, list[tuple[str, str]]] = {}
    for kind, name, value in inputs:
        named.setdefault(name, []).append((kind, value))
    (cable, shell) = (named["taken-1"], named["taken-2"])
    assert [kind for kind, _value in cable] == ["radio"] * 3
    assert cable[-1] == ("radio", "")
    assert "none of these" in page
    assert [value for _kind, value in shell] == ids(offered, ["Clear shell", "Smoke shell"])
    assert sorted(named["taken"]) == sorted(
        [
            ("checkbox", ids(offered, ["Filter in the cable"])[0]),
            ("checkbox", ",".join(ids(offered, BOARD))),
        ]
    )
    assert "only together with Component cable" in page


def test_it_takes_what_was_chosen_and_bills_what_the_page_said(offered: QuoteVersion) -> None:
    unit, phone = offered.unit, phone_of(offered.unit)
    form = filled(phone.get(of(unit)), unit)
    assert form["taken-2"] == ids(offered, ["Clear shell"])
    chosen = form | {
        "taken-2": ids(offered, ["Smoke shell"]),
        "taken-1": ids(offered, ["Component cable"]),
        "taken": [*ids(offered, ["Filter in the cable"]), ",".join(ids(offered, BOARD))],
    }
    reckoned = phone.post(of(unit, "reckon"), chosen)
    # 60.00 + 23.15 + 15.00 + 3.33 + 38.00 + 2.01 = 141.49; 10 % off rounds to 14.15; 8 % tax of 127.34 is 10.19.
    assert total_on(reckoned) == 13753
    assert filled(reckoned, unit)["taken-2"] == chosen["taken-2"]
    assert not Decision.objects.exists()
    assert phone.post(of(unit, "answer"), chosen | {"answer": "yes"}).status_code == 303
    assert Decision.objects.get().total_minor == 13753
    taken = QuoteLine.objects.filter(quote=offered, optional=True, taken=True).values_list("words", flat=True)
    assert set(taken) == {
        "Smoke shell", "Component cable", "Filter in the cable", "Video output board", "Ribbon for it"
    }  # fmt: skip
    page = html.unescape(phone.get(of(unit)).content.decode())
    assert "$137.53 in all" in page
    assert "Clear shell" not in page


def test_it_refuses_a_tampered_set_on_the_page_with_its_sentence_and_nothing_half_done(offered: QuoteVersion) -> None:
    unit, phone = offered.unit, phone_of(offered.unit)
    form = filled(phone.get(of(unit)), unit)
    before = everything(unit)
    for words, sentence in WRONG:
        sent = {name: form[name] for name in ("quote", "shown")} | {"taken": ids(offered, words), "answer": "yes"}
        answer = phone.post(of(unit, "answer"), sent)
        assert (answer.status_code, sentence in said(answer)) == (409, True), (words, said(answer))
        assert everything(unit) == before


def test_it_refuses_a_tampered_set_through_the_api_likewise(offered: QuoteVersion) -> None:
    before = everything(offered.unit)
    for words, sentence in WRONG:
        body = {"approve": True, "taken_line_ids": ids(offered, words), "shown_sha256": offered.content_sha256}
        answer = device_of(offered.unit).post(f"link/quotes/{offered.id}/decision", body)
        assert answer.status_code == 422, words
        assert any(reason["detail"].startswith(sentence) for reason in answer.json()["reasons"]), answer.json()
        assert everything(offered.unit) == before


def test_it_refuses_a_tampered_set_at_the_counter_likewise(offered: QuoteVersion, as_counter: Browser) -> None:
    before = everything(offered.unit)
    for words, sentence in WRONG:
        answer = as_counter.do(
            offered.unit, "answer", quote=str(offered.id), shown=offered.content_sha256, answer="yes",
            taken=ids(offered, words),
        )  # fmt: skip
        assert (answer.status_code, sentence in said(answer)) == (422, True), (words, said(answer))
        assert everything(offered.unit) == before


def test_it_says_before_the_answer_why_a_choice_cannot_be(offered: QuoteVersion) -> None:
    unit, phone = offered.unit, phone_of(offered.unit)
    form = filled(phone.get(of(unit)), unit)
    wrong = form | {"taken": ids(offered, ["Filter in the cable"])}
    page = phone.post(of(unit, "reckon"), wrong)
    assert page.status_code == 200
    assert "only makes sense together with “Component cable”" in said(page)
    told = phone.post(of(unit, "sums"), wrong).json()
    assert told["reasons"] == [
        "“Filter in the cable” only makes sense together with “Component cable”. Take both, or leave both."
    ]


def test_it_gives_the_script_the_same_sums_as_the_page(offered: QuoteVersion) -> None:
    unit, phone = offered.unit, phone_of(offered.unit)
    chosen = filled(phone.get(of(unit)), unit) | {"taken-1": ids(offered, ["Composite cable"])}
    told, page = phone.post(of(unit, "sums"), chosen).json(), phone.post(of(unit, "reckon"), chosen).content.decode()
    assert set(told["parts"]) == {"lines", "sums", "reckoned"}
    for part in told["parts"].values():
        assert part.strip() in page
    for price in told["options"].values():
        assert price in page
    assert phone.post(of(unit, "sums"), chosen | {"shown": ["0" * 64]}).status_code == 409


def test_it_keeps_what_was_ticked_when_the_answer_is_refused(offered: QuoteVersion) -> None:
    unit, phone = offered.unit, phone_of(offered.unit)
    form = filled(phone.get(of(unit)), unit)
    ticked = ",".join(ids(offered, BOARD))
    sent = form | {"taken-2": ids(offered, ["Smoke shell"]), "taken": [ticked, *ids(offered, ["Filter in the cable"])]}
    refused = phone.post(of(unit, "answer"), sent | {"answer": "yes", "reason": "Perhaps"})
    kept = filled(refused, unit)
    assert sorted(kept["taken"]) == sorted(sent["taken"])
    assert kept["taken-2"] == sent["taken-2"]
    assert kept["reason"] == ["Perhaps"]


@pytest.mark.parametrize("odd", [{"answer": ""}, {"answer": "maybe"}, {}])
def test_it_takes_nothing_for_an_answer_that_is_neither_yes_nor_no(offered: QuoteVersion, odd: dict[str, str]) -> None:
    unit, phone = offered.unit, phone_of(offered.unit)
    before = everything(unit)
    answer = phone.post(of(unit, "answer"), filled(phone.get(of(unit)), unit) | odd)
    assert answer.status_code == 409
    assert said(answer)
    assert everything(unit) == before


def test_it_reads_no_total_from_the_client(offered: QuoteVersion) -> None:
    unit, phone = offered.unit, phone_of(offered.unit)
    form = filled(phone.get(of(unit)), unit)
    lies = {"total": "1", "total_minor": "1", "data-total": "1", "deposit_minor": "0", "unit_minor": "1"}
    assert phone.post(of(unit, "answer"), form | lies | {"answer": "yes"}).status_code == 303
    # 60.00 + 20.05 less 10 % is 72.04 (8.005 rounds half up to 8.01); 8 % tax of that is 5.76.
    assert Decision.objects.get().total_minor == 7780


def test_it_lets_nobody_reckon_who_has_no_link(offered: QuoteVersion) -> None:
    for what in ("reckon", "sums"):
        assert Client().post(of(offered.unit, what), {"shown": offered.content_sha256}).status_code == 404
        assert phone_of(offered.unit).get(of(offered.unit, what)).status_code == 405
