"""Questions on the page, and the shop's answers."""

import html

import pytest
from django.core.cache import cache

from shop.core.actor import Actor
from shop.core.models import PersonalText
from shop.core.reasons import Refused
from shop.notices.models import Notice
from shop.quotes import questions
from shop.quotes.models import Question
from shop.units.models import Unit
from tests.customer_portal.conftest import filled, of, offer, phone_of
from tests.screens.browsing import Browser, said
from tests.screens.conftest import At, text_of, trail_of

SCRIPT = '<script>alert("x")</script> & </textarea><img src=x onerror=alert(1)> 😿'


@pytest.fixture
def unit(unit_at: At) -> Unit:
    return unit_at("intake")


def test_it_keeps_a_question_and_shows_it_with_its_answer(unit: Unit, helper: Actor) -> None:
    quote = offer(helper, unit)
    phone = phone_of(unit)
    form = filled(phone.get(of(unit)), unit, "question") | {"question": ["Does it take\nthe old cable?"]}
    answer = phone.post(of(unit, "question"), form)
    assert (answer.status_code, answer.headers["Location"]) == (303, f"{of(unit)}?asked=1#questions")
    asked = Question.objects.get()
    assert (asked.unit_id, asked.quote_id, asked.asked.text) == (unit.id, quote.id, "Does it take\nthe old cable?")
    page = phone.get(answer.headers["Location"]).content.decode()
    assert "Thank you. We answer here, and write to you." in page
    assert "Does it take<br>the old cable?" in page
    assert "We have it and answer here." in page
    questions.answer(actor=helper, question_id=asked.id, text="Yes, the same one.")
    page = phone.get(of(unit)).content.decode()
    assert "Yes, the same one." in page
    assert "We have it and answer here." not in page
    told = Notice.objects.get(unit=unit, event="question_answered")
    assert "cable" not in str(told.facts)
    assert [what for what in trail_of(unit) if "question" in what] == ["question_asked", "question_answered"]


def test_it_shows_script_in_a_question_as_what_was_typed(unit: Unit, helper: Actor, as_counter: Browser) -> None:
    phone = phone_of(unit)
    assert phone.post(of(unit, "question"), {"question": SCRIPT}).status_code == 303
    questions.answer(actor=helper, question_id=Question.objects.get().id, text=SCRIPT)
    refused = phone.post(of(unit, "question"), {"question": SCRIPT + "x" * 2000})
    assert refused.status_code == 422
    for page in (phone.get(of(unit)), refused, as_counter.see("unit", unit.number), as_counter.see("counter")):
        told = text_of(page)
        assert "<script>alert" not in told
        assert "<img src=x" not in told
        assert "onerror=alert(1)>" not in told
    assert SCRIPT in html.unescape(text_of(phone.get(of(unit))))
    assert SCRIPT in html.unescape(text_of(as_counter.see("unit", unit.number)))


def test_it_takes_a_double_tap_for_one_question(unit: Unit) -> None:
    phone = phone_of(unit)
    for _tap in range(3):
        assert phone.post(of(unit, "question"), {"question": " When? "}).status_code == 303
    assert Question.objects.count() == 1
    assert trail_of(unit).count("question_asked") == 1


@pytest.mark.parametrize("empty", ["", "   ", "\n\t"])
def test_it_keeps_nothing_of_an_empty_question(unit: Unit, empty: str) -> None:
    answer = phone_of(unit).post(of(unit, "question"), {"question": empty})
    assert answer.status_code == 422
    assert said(answer)
    assert not Question.objects.exists()


def test_it_lets_ten_wait_and_then_asks_for_patience_keeping_what_was_typed(unit: Unit, helper: Actor) -> None:
    phone = phone_of(unit)
    for number in range(questions.MOST_OPEN):
        assert phone.post(of(unit, "question"), {"question": f"Question {number}?"}).status_code == 303
    more = phone.post(of(unit, "question"), {"question": "One more?"})
    assert more.status_code == 422
    assert "10 questions wait for an answer already" in said(more)
    assert "One more?</textarea>" in more.content.decode()
    assert Question.objects.count() == questions.MOST_OPEN
    questions.answer(actor=helper, question_id=Question.objects.first().id, text="Yes.")  # type: ignore[union-attr]
    assert phone.post(of(unit, "question"), {"question": "One more?"}).status_code == 303


def test_it_slows_whoever_asks_without_end(unit: Unit, helper: Actor) -> None:
    phone = phone_of(unit)
    statuses = []
    for number in range(21):
        statuses.append(phone.post(of(unit, "question"), {"question": f"Question {number}?"}).status_code)
        for waiting in questions.open_questions():
            questions.answer(actor=helper, question_id=waiting.id, text="Yes.")
    assert statuses == [303] * 20 + [429]
    cache.clear()
    assert phone.post(of(unit, "question"), {"question": "Now?"}).status_code == 303


def test_it_answers_a_question_once(unit: Unit, helper: Actor, owner: Actor) -> None:
    phone_of(unit).post(of(unit, "question"), {"question": "When?"})
    asked = Question.objects.get()
    questions.answer(actor=helper, question_id=asked.id, text="On Friday.")
    with pytest.raises(Refused, match="question_answered"):
        questions.answer(actor=owner, question_id=asked.id, text="On Monday.")
    assert Question.objects.get().answer.text == "On Friday."  # type: ignore[union-attr]
    assert Notice.objects.filter(event="question_answered").count() == 1


def test_the_counter_sees_what_waits_and_answers_on_the_units_page(unit: Unit, as_counter: Browser) -> None:
    phone = phone_of(unit)
    phone.post(of(unit, "question"), {"question": "When?"})
    assert "Questions that wait for an answer" in text_of(as_counter.see("counter"))
    asked = Question.objects.get()
    answer = as_counter.do(unit, "reply", question=str(asked.id), reply="On Friday.")
    assert answer.status_code == 303
    assert "On Friday." in phone.get(of(unit)).content.decode()
    assert "Questions that wait for an answer" not in text_of(as_counter.see("counter"))
    late = as_counter.do(unit, "reply", question=str(asked.id), reply="On Monday.")
    assert late.status_code == 422
    assert "answered this question already" in said(late)


def test_the_words_lie_where_they_can_be_erased(unit: Unit, helper: Actor) -> None:
    phone_of(unit).post(of(unit, "question"), {"question": "I am ill, is it ready?"})
    asked = Question.objects.get()
    questions.answer(actor=helper, question_id=asked.id, text="Get well.")
    asked = Question.objects.get()
    PersonalText.objects.filter(pk__in=[asked.asked_id, asked.answer_id]).update(text="")
    page = phone_of(unit).get(of(unit)).content.decode()
    assert "ill" not in html.unescape(page).split("Questions")[1].split("Ask us")[0].split()
    assert "Get well." not in page
