"""The owner's own wording: what may stand in it, what it becomes, and that it only grows."""

from string import Formatter
from typing import Any

import pytest
from django.db import Error, connection, transaction
from django.utils import translation
from hypothesis import given
from hypothesis import strategies as st

from shop.core.actor import SYSTEM, Actor
from shop.core.models import ShopProfile
from shop.core.reasons import Refused
from shop.notices import actions, editions, queries, samples, steps
from shop.notices.models import Envelope, Event, Template
from shop.notices.placeholders import Line, check, fill, names_in, read_lines, written
from shop.notices.rendering import render
from shop.notices.segments import measure
from shop.units.models import Unit
from tests.notices.conftest import envelope_of
from tests.notices.mailserver import MailServer

OWN: dict[str, Any] = {
    "event": "ready",
    "language": "en",
    "subject": "Come and get your {model} ({number})",
    "paragraphs": "It shines again.\n\n[if due] Bring {due}.\n\n[if not by_mail] The bell is on the left.",
    "short": "{model} shines again. {due}",
}
BAD = [
    "{x.y}", "{model.__class__}", "{x[0]}", "{model!r}", "{model:>9}", "{0}", "{}", "{ model }", "{{model}}", "{model",
    "model}", "{nobody}", "{Model}", "{due_minor}", "{by_mail}", "{link}", "{model}}",
]  # fmt: skip


def keep(owner: Actor, edition: int = 0, **other: Any) -> Template:
    return actions.keep_template(actor=owner, edition=edition, **OWN | other)


def told(unit: Unit, **facts: object) -> Any:
    return render(envelope_of(steps.tell(event=Event.READY, unit=unit, key="k", facts=facts)))


@pytest.mark.parametrize("given", BAD)
def test_nothing_but_the_names_of_facts_may_stand_in_braces(given: str) -> None:
    with pytest.raises(Refused) as refusal:
        check(f"Your {given} is ready", {"model", "due"}, "paragraphs")
    reason = refusal.value.reasons[0]
    assert (reason.code, reason.field) == ("placeholder_unknown", "paragraphs")
    assert reason.facts["known"] == "{due}, {model}"


@given(st.text(alphabet="{}[]!:.x_ model0\n", max_size=40))
def test_what_passes_the_check_fills_in_without_a_brace_left(text: str) -> None:
    try:
        check(text, {"model", "x"}, "")
    except Refused:
        return
    filled = fill(text, {"model": "Lantern", "x": "12"})
    assert not set("{}") & set(filled)
    # What is allowed is understood by the standard library in the same way.
    assert filled == Formatter().vformat(text, (), {"model": "Lantern", "x": "12"})


@given(st.text(max_size=60))
def test_what_is_filled_in_is_not_read_again(name: str) -> None:
    assert fill("<{model}|{name}>", {"model": "{name}", "name": name}) == "<{name}|" + name + ">"


def test_conditions_are_read() -> None:
    lines = read_lines(
        "[if by_mail, not paid] Wait for {tracking}.\r\n\r\n\r\nAlways.", {"by_mail", "paid", "tracking"}, ""
    )
    assert lines == (
        Line("Wait for {tracking}.", ("by_mail", "tracking"), ("paid",)),
        Line("Always."),
    )


@pytest.mark.parametrize(
    "given", ["[if lost] A", "[if not lost] A", "[if] A", "[if not not paid] A", "[if paid A", "[if ,] A"]
)
def test_an_unknown_condition_is_refused_with_those_that_there_are(given: str) -> None:
    with pytest.raises(Refused) as refusal:
        read_lines(given, {"paid", "by_mail"}, "paragraphs")
    assert refusal.value.code == "condition_unknown"
    assert refusal.value.reasons[0].facts["known"] == "by_mail, paid"


@pytest.mark.parametrize("event", list(Event))
def test_the_standard_wording_can_be_written_and_read_again_and_says_the_same(shop: ShopProfile, event: Event) -> None:
    with translation.override("en"):
        standard = editions.standard(event)
        text = editions.as_written(standard)
        again = editions.read(event, subject=text.subject, paragraphs=text.paragraphs, short=text.short)
        known = samples.known(event, shop)
        for facts in (known, known | {"link": "", "due": "", "promised_on": ""}):
            for one, other in ((standard.lines, again.lines), (standard.short, again.short)):
                said = [[fill(line.text, facts) for line in lines if line.said(facts)] for lines in (one, other)]
                assert said[0] == said[1]
        for line in standard.lines:
            assert set(names_in(line.text)) <= set(editions.placeholders(event))
            assert written(line).count("[if") <= 1


def test_it_tells_with_the_owner_s_words_and_leaves_out_what_is_not_known(owner: Actor, unit: Unit) -> None:
    keep(owner)
    message = told(unit, due_minor=4500)
    assert message.subject == "Come and get your Quillon Lantern (0001)"
    assert "It shines again." in message.text
    assert "Bring $45.00." in message.text
    assert "The bell is on the left." in message.html
    assert "can come back to you" not in message.text
    assert "Quillon Lantern shines again. $45.00" in message.short


def test_a_paragraph_whose_fact_is_not_known_is_left_out(owner: Actor, unit: Unit) -> None:
    keep(owner)
    message = told(unit)
    assert "Bring" not in message.text
    assert "It shines again." in message.text


def test_when_nothing_of_the_owner_s_can_be_said_the_standard_words_are(owner: Actor, unit: Unit) -> None:
    keep(owner, paragraphs="Bring {due}.", short="{due}")
    message = told(unit)
    assert "Your Quillon Lantern is finished here" in message.text
    assert "Your Quillon Lantern is ready." in message.short


def test_words_of_the_owner_are_escaped_in_html(owner: Actor, unit: Unit) -> None:
    keep(owner, paragraphs="<img src=x> & <b>{shop}</b>", subject="<b>{model}</b>")
    message = told(unit)
    assert "<img src=x> & <b>Brandt & Daughter</b>" in message.text
    assert "&lt;img src=x&gt; &amp; &lt;b&gt;Brandt &amp; Daughter&lt;/b&gt;" in message.html
    assert "<title>&lt;b&gt;Quillon Lantern&lt;/b&gt;</title>" in message.html


def test_an_empty_text_message_leaves_the_standard_one(owner: Actor, unit: Unit) -> None:
    keep(owner, short="")
    assert "Your Quillon Lantern is ready." in told(unit).short


@pytest.mark.parametrize(
    ("change", "code", "field"),
    [
        ({"subject": "{due}"}, "placeholder_unknown", "subject"),
        ({"subject": "a\r\nBcc: thief@post.example"}, "hidden_character", "subject"),
        ({"subject": " "}, "blank", "subject"),
        ({"paragraphs": " \n\n "}, "blank", "paragraphs"),
        ({"paragraphs": "[if due] "}, "blank", "paragraphs"),
        ({"paragraphs": "x" * 6001}, "too_long", "paragraphs"),
        ({"short": "{x.y}"}, "placeholder_unknown", "short"),
        ({"event": "lost"}, "not_a_choice", "event"),
        ({"language": "tlh"}, "not_a_choice", "language"),
    ],
)
def test_what_cannot_be_kept_is_refused_and_nothing_written(
    owner: Actor, change: dict[str, Any], code: str, field: str
) -> None:
    for act in (lambda: keep(owner, **change), lambda: actions.preview(actor=owner, **OWN | change)):
        with pytest.raises(Refused) as refusal:
            act()
        assert (refusal.value.code, refusal.value.reasons[0].field) == (code, field)
    assert not Template.objects.exists()


def test_every_edition_is_kept_and_one_can_go_back_to_the_standard(owner: Actor, unit: Unit) -> None:
    keep(owner)
    keep(owner, 1, subject="Second {model}")
    actions.back_to_standard(actor=owner, event="ready", language="en", edition=2)
    assert told(unit).subject == "Your Quillon Lantern is ready"
    shown = queries.template(Event.READY, "en")
    assert [(e.edition, e.standard, e.subject, e.by) for e in shown.editions] == [
        (3, True, "", "Ottilie Brandt"),
        (2, False, "Second {model}", "Ottilie Brandt"),
        (1, False, OWN["subject"], "Ottilie Brandt"),
    ]
    assert (shown.own, shown.edition, shown.subject) == (False, 3, "Your {model} is ready")
    assert dict(queries.all_templates("en"))[Event.READY] == shown.editions[0]


def test_whoever_saw_an_older_edition_is_told_so(owner: Actor) -> None:
    keep(owner)
    for act in (
        lambda: keep(owner),
        lambda: actions.back_to_standard(actor=owner, event="ready", language="en", edition=0),
    ):
        with pytest.raises(Refused) as refusal:
            act()
        assert refusal.value.code == "template_replaced"
    assert Template.objects.count() == 1


def test_there_is_no_way_back_from_the_standard_wording(owner: Actor) -> None:
    with pytest.raises(Refused) as refusal:
        actions.back_to_standard(actor=owner, event="ready", language="en", edition=0)
    assert refusal.value.code == "template_standard"


@pytest.mark.parametrize("statement", ["UPDATE notices_template SET subject = 'x'", "DELETE FROM notices_template"])
def test_editions_only_grow(owner: Actor, statement: str) -> None:
    keep(owner)
    with pytest.raises(Error, match="only grows"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)


def test_an_edition_that_cannot_be_read_any_more_gives_way_to_the_standard(unit: Unit) -> None:
    Template.objects.create(event="ready", language="en", edition=1, subject="{gone}", paragraphs="{gone}")
    assert told(unit).subject == "Your Quillon Lantern is ready"


@pytest.mark.parametrize("event", list(Event))
def test_a_preview_shows_every_event_with_invented_facts(owner: Actor, event: Event) -> None:
    shown = queries.template(event, "en")
    seen = actions.preview(
        actor=owner, event=event, language="en", subject=shown.subject, paragraphs=shown.paragraphs, short=shown.short
    )
    for text in (seen.subject, seen.text, seen.html, seen.short):
        assert "{" not in text
        assert "None" not in text
    assert "Ada Kowalczyk" in seen.text
    assert 1 <= measure(seen.short).parts <= 3
    assert not Envelope.objects.exists()


def test_a_wording_is_tried_out_at_the_shop_s_own_address(owner: Actor, mail: MailServer) -> None:
    sent = actions.send_envelope(actor=SYSTEM, envelope_id=actions.try_out(actor=owner, **OWN).id)
    assert sent is not None
    assert sent.state == "done"
    assert mail.recipients == ["desk@brandt.example"]
    assert str(mail.messages[0]["Subject"]) == "Come and get your Quillon Lantern (0042)"
    assert queries.one(sent.id).about == ("trying out the wording of: ready",)  # type: ignore[union-attr]
    assert not Template.objects.exists()


def test_without_an_address_of_the_shop_nothing_is_tried_out(owner: Actor) -> None:
    ShopProfile.objects.update(email="")
    with pytest.raises(Refused) as refusal:
        actions.try_out(actor=owner, **OWN)
    assert refusal.value.code == "no_shop_address"


def test_only_the_owner_changes_the_wording(helper: Actor, technician: Actor) -> None:
    for actor in (helper, technician):
        for act in (actions.try_out, lambda **given: actions.keep_template(edition=0, **given)):
            with pytest.raises(Refused) as refusal:
                act(actor=actor, **OWN)
            assert refusal.value.code == "not_permitted"
