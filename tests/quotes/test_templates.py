"""Templates for common jobs: kept from a quote, used on another, taken out of use."""

from typing import Any

import pytest

from shop.boards.models import DeviceModel
from shop.core.actor import Actor
from shop.core.reasons import Missing, Refused, sentence
from shop.people.models import Customer
from shop.quotes import actions
from shop.quotes.models import QuoteLine, QuoteTemplate, QuoteVersion
from shop.quotes.operations import AddLine, ChangeLine, UseTemplate
from shop.quotes.template_actions import keep_as_template, retire_template, templates
from shop.units.models import Finding, Unit
from tests.quotes.conftest import decide, optional_ids, send
from tests.quotes.test_what_is_charged import change


@pytest.fixture
def kept(draft: QuoteVersion, helper: Actor) -> QuoteTemplate:
    """A recap with two cables to choose from, one of which a filter needs."""
    cable: dict[str, Any] = {"kind": "part", "optional": True, "one_of": "Cable", "may_skip": True}
    change(
        draft, helper,
        AddLine(words="Component cable", unit_minor=1500, **cable), AddLine(words="Composite", unit_minor=900, **cable),
        AddLine(kind="part", words="Filter", unit_minor=300, optional=True, why="Less noise."),
    )  # fmt: skip
    by_words = {line.words: line for line in draft.lines.all()}
    tied = ChangeLine(line_id=by_words["Filter"].id, needs=str(by_words["Component cable"].id))
    change(draft, helper, tied)
    return keep_as_template(actor=helper, quote_id=draft.id, name=" Recap and cable ")


@pytest.fixture
def empty(lantern: DeviceModel, bao: Customer, helper: Actor) -> QuoteVersion:
    """A draft without a line, for another unit."""
    other = Unit.objects.create(number=77, model=lantern, complaint="Hums", customer=bao)
    return actions.draft_quote(actor=helper, unit_id=other.id)


def said(quote: QuoteVersion) -> list[tuple[object, ...]]:
    fields = ("kind", "words", "quantity", "unit_minor", "optional", "taken", "one_of", "may_skip", "why")
    return list(QuoteLine.objects.filter(quote=quote).order_by("position").values_list(*fields))


def test_it_puts_the_lines_on_another_draft(
    kept: QuoteTemplate, draft: QuoteVersion, empty: QuoteVersion, helper: Actor
) -> None:
    assert (kept.name, [template.name for template in templates()]) == ("Recap and cable", ["Recap and cable"])
    change(empty, helper, UseTemplate(template_id=kept.id))
    assert said(empty) == said(draft)
    assert not set(empty.lines.values_list("key", flat=True)) & set(draft.lines.values_list("key", flat=True))


def test_what_an_option_needs_is_the_option_of_the_same_quote(
    kept: QuoteTemplate, empty: QuoteVersion, helper: Actor
) -> None:
    change(empty, helper, UseTemplate(template_id=kept.id))
    by_words = {line.words: line for line in empty.lines.all()}
    assert by_words["Filter"].needs == str(by_words["Component cable"].key)
    customer = helper
    sent = send(empty, helper)
    with pytest.raises(Refused, match="option_requires"):
        decide(sent, customer, taken=[by_words["Filter"].id])
    taken = [by_words["Filter"].id, by_words["Component cable"].id]
    assert decide(sent, customer, taken=taken).kind == "approved"


def test_a_template_can_be_used_twice_on_one_quote(kept: QuoteTemplate, empty: QuoteVersion, helper: Actor) -> None:
    change(empty, helper, UseTemplate(template_id=kept.id))
    change(empty, helper, UseTemplate(template_id=kept.id))
    words = list(empty.lines.values_list("words", flat=True))
    assert sorted(words) == sorted(words[: len(words) // 2] * 2)
    assert len(optional_ids(empty)) == 2 * empty.lines.filter(optional=True, position__lte=len(words) // 2).count()


def test_what_belongs_to_one_unit_stays_there(draft: QuoteVersion, helper: Actor, lantern: DeviceModel) -> None:
    finding = Finding.objects.create(unit=draft.unit, kind="corrosion", words="Below the battery")
    donor = Unit.objects.create(number=17, model=lantern, complaint="Dead")
    change(
        draft, helper,
        AddLine(kind="part", words="Lid", unit_minor=900, source="harvested", donor_number=donor.number),
        AddLine(kind="labour", words="Clean it", unit_minor=500),
    )  # fmt: skip
    draft.lines.filter(words="Clean it").update(finding=finding)
    kept = keep_as_template(actor=helper, quote_id=draft.id, name="Lid")
    assert not {"Lid", "Clean it"} & set(kept.lines.values_list("words", flat=True))


def test_a_name_is_taken_once_and_has_to_be_one(kept: QuoteTemplate, draft: QuoteVersion, helper: Actor) -> None:
    for name, code in (("Recap and cable", "template_named_before"), ("  ", "blank"), ("x" * 81, "too_long")):
        with pytest.raises(Refused, match=code) as refused:
            keep_as_template(actor=helper, quote_id=draft.id, name=name)
        assert sentence(refused.value.reasons[0])
    assert QuoteTemplate.objects.count() == 1


def test_an_empty_quote_makes_no_template(empty: QuoteVersion, helper: Actor) -> None:
    with pytest.raises(Refused, match="template_empty"):
        keep_as_template(actor=helper, quote_id=empty.id, name="Nothing")
    assert not QuoteTemplate.objects.exists()


def test_a_template_out_of_use_is_offered_and_taken_no_more(
    kept: QuoteTemplate, empty: QuoteVersion, helper: Actor
) -> None:
    retire_template(actor=helper, template_id=kept.id)
    assert templates() == []
    with pytest.raises(Missing):
        change(empty, helper, UseTemplate(template_id=kept.id))
    assert not empty.lines.exists()
    assert QuoteTemplate.objects.get().retired_at is not None


def test_its_prices_are_those_of_the_day_it_was_kept(
    kept: QuoteTemplate, draft: QuoteVersion, empty: QuoteVersion, helper: Actor
) -> None:
    fuse = draft.lines.get(words="Composite")
    change(draft, helper, ChangeLine(line_id=fuse.id, unit_minor=5000))
    change(empty, helper, UseTemplate(template_id=kept.id))
    assert empty.lines.get(words="Composite").unit_minor == 900
