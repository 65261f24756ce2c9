"""What a draft charges by the shop's own rules: time, mark-ups, insurance, urgency, the diagnosis fee, whose part."""

from typing import Any
from uuid import uuid4

import pytest

from shop.boards.models import DeviceModel, Service
from shop.core.actor import Actor
from shop.core.models import ShopProfile, TrailEntry
from shop.core.reasons import Missing, Refused, sentence
from shop.parts.models import Part
from shop.quotes import actions, queries
from shop.quotes.drafting import markup_bands
from shop.quotes.markup import Band
from shop.quotes.models import MarkupBand, QuoteVersion
from shop.quotes.operations import AddLine, ChangeLine, RemoveLine
from shop.quotes.template_actions import set_markup
from shop.units.models import Parcel, Unit
from tests.quotes.conftest import decide, line, optional_ids, send


def shop_is(**figures: Any) -> None:
    ShopProfile.objects.update(**figures)


def change(quote: QuoteVersion, actor: Actor, *operations: Any) -> QuoteVersion:
    quote.refresh_from_db()
    return actions.change_quote(actor=actor, quote_id=quote.id, version=quote.version, operations=operations)


def test_labour_without_a_price_of_its_own_is_its_time_at_the_shops_rate(
    unit: Unit, recap: Service, helper: Actor
) -> None:
    """100 minutes in steps of 30 are 120 at 48.00 an hour."""
    shop_is(labour_rate_minor=4800, labour_step_minutes=30)
    Service.objects.filter(pk=recap.pk).update(price_minor=0, minutes=100)
    draft = actions.draft_quote(actor=helper, unit_id=unit.id)
    assert line(draft, service=recap, kind="labour").unit_minor == 9600


def test_labour_with_a_price_of_its_own_stays_at_it(unit: Unit, recap: Service, helper: Actor) -> None:
    shop_is(labour_rate_minor=99_900)
    draft = actions.draft_quote(actor=helper, unit_id=unit.id)
    assert line(draft, service=recap, kind="labour").unit_minor == 6000


def test_a_part_without_a_price_is_marked_up_by_the_band_that_its_cost_is_in(
    unit: Unit, wished: list[Service], owner: Actor, helper: Actor
) -> None:
    set_markup(actor=owner, bands=[Band(1000, 30_000, 400), Band(0, 100_000, 50)])
    Part.objects.filter(code="CAP-100-16").update(price_minor=0, cost_minor=20)
    Part.objects.filter(code="VID-1").update(price_minor=0, cost_minor=2500)
    draft = actions.draft_quote(actor=helper, unit_id=unit.id)
    # 20 and at least 50; 25.00 and 30 % of it.
    assert line(draft, part__code="CAP-100-16").unit_minor == 70
    assert line(draft, part__code="VID-1").unit_minor == 3250


def test_a_part_with_a_price_is_not_marked_up(unit: Unit, wished: list[Service], owner: Actor, helper: Actor) -> None:
    set_markup(actor=owner, bands=[Band(0, 100_000, 0)])
    Part.objects.filter(code="CAP-100-16").update(cost_minor=20)
    draft = actions.draft_quote(actor=helper, unit_id=unit.id)
    assert line(draft, part__code="CAP-100-16").unit_minor == 45


def test_the_shop_sets_its_mark_ups_in_one_go(shop: ShopProfile, owner: Actor) -> None:
    set_markup(actor=owner, bands=[Band(500, 20_000, 0), Band(0, 50_000, 25)])
    assert markup_bands() == (Band(0, 50_000, 25), Band(500, 20_000, 0))
    set_markup(actor=owner, bands=[])
    assert markup_bands() == ()
    assert TrailEntry.objects.filter(what="markup_changed").count() == 2


@pytest.mark.parametrize("starts", [(100,), (0, 500, 500)])
def test_mark_ups_that_leave_a_cost_out_or_have_one_twice_are_refused(
    shop: ShopProfile, owner: Actor, starts: tuple[int, ...]
) -> None:
    set_markup(actor=owner, bands=[Band(0, 50_000, 25)])
    with pytest.raises(Refused) as refused:
        set_markup(actor=owner, bands=[Band(start, 10_000, 0) for start in starts])
    assert "begin at a cost of 0" in sentence(refused.value.reasons[0])
    assert markup_bands() == (Band(0, 50_000, 25),)


def test_only_the_owner_sets_mark_ups(shop: ShopProfile, helper: Actor, technician: Actor) -> None:
    for actor in (helper, technician):
        with pytest.raises(Refused):
            set_markup(actor=actor, bands=[Band(0, 1, 0)])
    assert not MarkupBand.objects.exists()


@pytest.fixture
def by_mail(unit: Unit) -> Unit:
    """The unit came by mail, declared at 250.00, and goes back that way."""
    Unit.objects.filter(pk=unit.pk).update(by_mail=True)
    Parcel.objects.create(unit=unit, direction=Parcel.Direction.IN, carrier="Coastal Post", declared_minor=25_000)
    return Unit.objects.get(pk=unit.pk)


def test_the_parcel_back_is_insured_at_what_was_declared(by_mail: Unit, helper: Actor) -> None:
    """1.5 % of 250.00 is 3.75, above the least of 2.00."""
    shop_is(insurance_millipercent=1500, insurance_least_minor=200)
    draft = actions.draft_quote(actor=helper, unit_id=by_mail.id, postage_minor=1450)
    assert [(each.kind, each.unit_minor) for each in draft.lines.order_by("-position")[:2]] == [
        ("insurance", 375), ("postage", 1450)
    ]  # fmt: skip


def test_the_insurance_costs_at_least_what_the_shop_says(by_mail: Unit, helper: Actor) -> None:
    shop_is(insurance_millipercent=100, insurance_least_minor=200)
    draft = actions.draft_quote(actor=helper, unit_id=by_mail.id, postage_minor=1450)
    assert line(draft, kind="insurance").unit_minor == 200


@pytest.mark.parametrize("without", ["a rate", "a declared value", "the mail"])
def test_nothing_is_insured_without(by_mail: Unit, helper: Actor, without: str) -> None:
    shop_is(insurance_millipercent=0 if without == "a rate" else 1500, insurance_least_minor=200)
    if without == "a declared value":
        Parcel.objects.update(declared_minor=0)
    Unit.objects.filter(pk=by_mail.pk).update(by_mail=without != "the mail")
    draft = actions.draft_quote(actor=helper, unit_id=by_mail.id, postage_minor=1450)
    assert not draft.lines.filter(kind="insurance").exists()


def test_a_surcharge_for_urgency_is_a_share_of_the_labour_alone(draft: QuoteVersion, helper: Actor) -> None:
    """Half of 60.00, not of the 5.40 of parts; tax of 95.40 is 7.632."""
    change(draft, helper, AddLine(kind="surcharge", words="Urgent", percent_millipercent=50_000))
    shown = queries.shown(send(draft, helper))
    urgent = next(each for each in shown.lines if each.kind == "surcharge")
    assert (urgent.net_minor, shown.net_minor, shown.total_minor) == (3000, 9540, 10_303)
    assert shown.urgent
    assert "50" in urgent.about


def test_the_surcharge_follows_the_labour_of_the_options_that_are_taken(
    draft: QuoteVersion, helper: Actor, customer: Actor
) -> None:
    change(draft, helper, AddLine(kind="surcharge", words="Urgent", percent_millipercent=50_000))
    sent = send(draft, helper)
    decision = decide(sent, customer, taken=optional_ids(sent))
    # 60.00 and 45.00 of labour, half of it again, 5.40 and 38.00 of parts: 200.90, and 16.07 tax.
    assert decision.total_minor == 21_697


def test_the_fee_is_charged_besides_the_work_where_the_shop_says_so(unit: Unit, helper: Actor, customer: Actor) -> None:
    shop_is(fee_credited=False)
    draft = actions.draft_quote(actor=helper, unit_id=unit.id)
    assert line(draft, kind="fee").unit_minor == 2500
    sent = send(draft, helper)
    # 60.00, 5.40 and 25.00, and 8 % tax of 90.40.
    assert decide(sent, customer).total_minor == 9763
    assert queries.owed(unit).totals.total_minor == 9763


def test_the_fee_is_not_charged_when_the_shop_credits_it(
    unit: Unit, draft: QuoteVersion, helper: Actor, customer: Actor
) -> None:
    assert not draft.lines.filter(kind="fee").exists()
    sent = send(draft, helper)
    assert queries.shown(sent).fee_if_declined_total_minor == 2700
    decide(sent, customer)
    assert queries.owed(unit, diagnosed=True).totals.total_minor == 7063


def test_the_fee_is_due_with_its_tax_when_the_quote_is_declined(
    unit: Unit, sent: QuoteVersion, customer: Actor
) -> None:
    decide(sent, customer, approve=False)
    assert queries.owed(unit, diagnosed=True).totals.total_minor == 2700
    assert queries.owed(unit).totals.total_minor == 0  # nobody looked inside


def test_a_part_that_the_customer_brings_costs_nothing_and_says_what_that_means(
    draft: QuoteVersion, helper: Actor
) -> None:
    changed = change(draft, helper, AddLine(kind="part", words="Her own tube", source="customer"))
    assert line(changed, words="Her own tube").unit_minor == 0
    shown = queries.shown(send(changed, helper))
    brought = next(each for each in shown.lines if each.words == "Her own tube")
    assert (brought.net_minor, brought.about) == (0, "brought by you: no charge, no warranty on the part")
    assert "brought_parts" in [term.code for term in shown.terms]


def test_a_part_becomes_free_when_it_turns_out_to_be_the_customers(draft: QuoteVersion, helper: Actor) -> None:
    part = line(draft, part__code="CAP-100-16")
    change(draft, helper, ChangeLine(line_id=part.id, source="customer"))
    part.refresh_from_db()
    assert (part.unit_minor, part.source) == (0, "customer")


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({"source": "customer", "unit_minor": 100}, "brought_with_price"),
        ({"source": "customer", "kind": "labour"}, "brought_with_price"),
        ({"source": "harvested", "unit_minor": 100}, "donor_missing"),
        ({"source": "harvested", "unit_minor": 100, "donor_number": 9999}, "donor_missing"),
        ({"source": "found"}, "not_a_choice"),
        ({"quantity": 0}, "out_of_range"),
        ({"quantity": -1}, "out_of_range"),
        ({"quantity": 10_000}, "out_of_range"),
        ({"unit_minor": -1}, "negative_money"),
        ({"discount_millipercent": 100_001}, "out_of_range"),
        ({"discount_millipercent": -1}, "out_of_range"),
        ({"percent_millipercent": 5000}, "share_of_nothing"),
        ({"kind": "discount", "percent_millipercent": 5000, "unit_minor": 100}, "share_of_nothing"),
        ({"kind": "discount", "percent_millipercent": 5000, "quantity": 2}, "share_of_nothing"),
        ({"kind": "discount", "percent_millipercent": 100_001}, "out_of_range"),
        ({"kind": "discount", "unit_minor": 100, "discount_millipercent": 5000}, "discount_of_discount"),
        ({"kind": "surcharge", "percent_millipercent": 5000, "discount_millipercent": 1}, "discount_of_discount"),
        ({"one_of": "Case"}, "line_not_optional"),
        ({"needs": str(uuid4()), "optional": True}, "option_never"),
        ({"tax_class": "half"}, "not_a_choice"),
        ({"why": "x" * 301}, "too_long"),
        ({"words": "x" * 161}, "too_long"),
        ({"words": " "}, "blank"),
        ({"kind": "gift"}, "not_a_choice"),
    ],
)
def test_a_line_that_cannot_be_is_refused_and_nothing_changes(
    draft: QuoteVersion, helper: Actor, given: dict[str, Any], code: str
) -> None:
    before = QuoteVersion.objects.values().get(pk=draft.pk), list(draft.lines.values())
    with pytest.raises(Refused, match=code) as refused:
        change(draft, helper, AddLine(kind="part", words="Good", unit_minor=100), AddLine(**{**PLAIN, **given}))
    assert sentence(refused.value.reasons[0])
    assert (QuoteVersion.objects.values().get(pk=draft.pk), list(draft.lines.values())) == before


PLAIN: dict[str, Any] = {"kind": "part", "words": "Tube"}


@pytest.mark.parametrize("of", ["service_id", "part_id"])
def test_a_line_of_what_is_not_there_is_refused(draft: QuoteVersion, helper: Actor, of: str) -> None:
    with pytest.raises(Missing):
        change(draft, helper, AddLine(**{**PLAIN, of: uuid4()}))


def test_a_used_part_names_the_unit_that_it_comes_from(
    draft: QuoteVersion, helper: Actor, lantern: DeviceModel
) -> None:
    Unit.objects.create(number=17, model=lantern, complaint="Dead")
    given = AddLine(kind="part", words="Lid", unit_minor=900, source="harvested", donor_number=17)
    shown = queries.shown(send(change(draft, helper, given), helper))
    used = next(each for each in shown.lines if each.words == "Lid")
    assert (used.donor, used.about) == ("0017", "used part, from unit 0017")
    assert "harvested_parts" in [term.code for term in shown.terms]
    next_one = actions.draft_quote(actor=helper, unit_id=draft.unit_id)
    assert str(line(next_one, words="Lid").donor) == "0017"


def test_a_need_can_be_named_by_any_line_of_the_other_option_and_never_in_a_circle(
    draft: QuoteVersion, helper: Actor
) -> None:
    change(draft, helper, AddLine(**PLAIN, optional=True), AddLine(kind="part", words="Cable", optional=True))
    tube, cable = line(draft, words="Tube"), line(draft, words="Cable")
    change(draft, helper, ChangeLine(line_id=tube.id, needs=str(cable.id)))
    tube.refresh_from_db()
    assert tube.needs == str(cable.key)
    for one, other in ((cable, tube), (tube, tube)):
        with pytest.raises(Refused, match="needs_itself"):
            change(draft, helper, ChangeLine(line_id=one.id, needs=str(other.id)))


def test_what_others_need_stays_an_option(draft: QuoteVersion, helper: Actor) -> None:
    change(draft, helper, AddLine(**PLAIN, optional=True), AddLine(kind="part", words="Cable", optional=True))
    tube, cable = line(draft, words="Tube"), line(draft, words="Cable")
    change(draft, helper, ChangeLine(line_id=tube.id, needs=str(cable.id)))
    with pytest.raises(Refused, match="option_never"):
        change(draft, helper, ChangeLine(line_id=cable.id, optional=False))
    with pytest.raises(Refused, match="option_never"):
        change(draft, helper, RemoveLine(line_id=cable.id))
