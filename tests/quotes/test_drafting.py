"""A first draft, and what may be done to one."""

from uuid import uuid4

import pytest

from shop.boards.models import DeviceModel
from shop.core.actor import STRANGER, Actor
from shop.core.models import ShopProfile
from shop.core.money import LARGEST_MINOR
from shop.core.reasons import Missing, Refused, Stale
from shop.quotes import actions, queries
from shop.quotes.models import QuoteLine, QuoteVersion
from shop.quotes.operations import AddLine, ChangeLine, Operation, RemoveLine, SetNote
from shop.units.models import Unit
from tests.quotes.conftest import decide, line, optional_ids, send, trail_of

pytestmark = pytest.mark.usefixtures("frozen")


def _change(quote: QuoteVersion, actor: Actor, *operations: Operation) -> QuoteVersion:
    quote.refresh_from_db()
    return actions.change_quote(actor=actor, quote_id=quote.id, version=quote.version, operations=operations)


def _rows(quote: QuoteVersion) -> list[tuple[object, ...]]:
    return list(quote.lines.values_list("kind", "words", "quantity", "unit_minor", "optional", "taken"))


def test_it_drafts_labour_and_parts_from_the_wished_services(draft: QuoteVersion, unit: Unit) -> None:
    assert _rows(draft) == [
        ("labour", "Recap", 1, 6000, False, True),
        ("part", "Capacitor 100 µF 16 V", 12, 45, False, True),
        ("labour", "Video output board", 1, 4500, True, False),
        ("part", "Video board", 1, 3800, True, False),
    ]
    assert (draft.edition, draft.currency, draft.tax_rate_millipercent) == (1, "USD", 8000)
    assert trail_of(unit) == ["quote_drafted"]


def test_it_ticks_no_extra_for_the_customer_and_ties_its_parts_to_it(draft: QuoteVersion) -> None:
    found = queries.shown(draft)
    assert [option.words for option in found.options] == [("Video output board", "Video board")]
    assert not found.options[0].taken
    assert found.total_minor == 6540 + 523
    assert found.options[0].change_minor == 8300 + 664


def test_it_returns_the_open_draft_when_it_is_asked_twice(draft: QuoteVersion, unit: Unit, owner: Actor) -> None:
    assert actions.draft_quote(actor=owner, unit_id=unit.id) == draft
    assert trail_of(unit) == ["quote_drafted"]


def test_it_adds_return_postage_for_a_unit_that_came_by_mail(unit: Unit, helper: Actor) -> None:
    Unit.objects.update(by_mail=True)
    quote = actions.draft_quote(actor=helper, unit_id=unit.id, postage_minor=1490)
    assert _rows(quote)[-1] == ("postage", "Return postage", 1, 1490, False, True)


def test_it_leaves_postage_open_until_the_counter_knows_it(unit: Unit, helper: Actor) -> None:
    Unit.objects.update(by_mail=True)
    quote = actions.draft_quote(actor=helper, unit_id=unit.id)
    with pytest.raises(Refused, match="quote_postage_open"):
        send(quote, helper)
    _change(quote, helper, ChangeLine(line_id=line(quote, kind="postage").id, unit_minor=1490))
    assert send(quote, helper).state == "sent"


def test_it_refuses_postage_below_zero(unit: Unit, helper: Actor) -> None:
    with pytest.raises(Refused, match="negative_money"):
        actions.draft_quote(actor=helper, unit_id=unit.id, postage_minor=-1)
    assert not QuoteVersion.objects.exists()


def test_it_drafts_a_free_comeback_at_nothing_and_says_so(unit: Unit, helper: Actor, lantern: DeviceModel) -> None:
    earlier = Unit.objects.create(number=17, customer=unit.customer, model=lantern)
    Unit.objects.filter(pk=unit.pk).update(free_of_charge=True, earlier_unit=earlier, by_mail=True)
    quote = actions.draft_quote(actor=helper, unit_id=unit.id)
    assert {row.unit_minor for row in quote.lines.all()} == {0}
    assert all(row.words.endswith("(free of charge: unit 0017 came back)") for row in quote.lines.all())
    assert send(quote, helper).state == "sent"


def test_it_drafts_nothing_for_the_shops_own_unit(unit: Unit, helper: Actor) -> None:
    Unit.objects.update(customer=None)
    with pytest.raises(Refused, match="quote_own_unit"):
        actions.draft_quote(actor=helper, unit_id=unit.id)


def test_it_drafts_nothing_for_a_unit_that_left(unit: Unit, helper: Actor) -> None:
    Unit.objects.update(stage="pickup", outcome="collected", left_at=unit.received_at)
    with pytest.raises(Refused, match="unit_left"):
        actions.draft_quote(actor=helper, unit_id=unit.id)


def test_it_copies_the_sent_edition_into_the_next_draft(sent: QuoteVersion, unit: Unit, helper: Actor) -> None:
    ShopProfile.objects.update(tax_rate_millipercent=8875)
    second = actions.draft_quote(actor=helper, unit_id=unit.id)
    assert _rows(second) == _rows(sent)
    assert (second.edition, second.tax_rate_millipercent) == (2, 8875)
    assert not set(second.lines.values_list("id")) & set(sent.lines.values_list("id"))


def test_it_copies_the_options_that_the_customer_took(
    sent: QuoteVersion, unit: Unit, helper: Actor, customer: Actor
) -> None:
    decide(sent, customer, taken=optional_ids(sent))
    second = actions.draft_quote(actor=helper, unit_id=unit.id)
    assert [row.taken for row in second.lines.all()] == [True] * 4


def test_it_applies_named_operations_in_one_go(draft: QuoteVersion, unit: Unit, technician: Actor) -> None:
    changed = _change(
        draft,
        technician,
        AddLine(kind="labour", words="  Battery holder ", unit_minor=1500, quantity=2),
        ChangeLine(line_id=line(draft, words="Recap").id, unit_minor=5000, words="Recap, main board"),
        RemoveLine(line_id=line(draft, words="Capacitor 100 µF 16 V").id),
        AddLine(kind="discount", words="Goodwill", unit_minor=1000),
        SetNote(text="We found an earlier repair."),
    )
    assert _rows(changed) == [
        ("labour", "Recap, main board", 1, 5000, False, True),
        ("labour", "Video output board", 1, 4500, True, False),
        ("part", "Video board", 1, 3800, True, False),
        ("labour", "Battery holder", 2, 1500, False, True),
        ("discount", "Goodwill", 1, -1000, False, True),
    ]
    assert (changed.note, changed.version) == ("We found an earlier repair.", 2)
    assert trail_of(unit) == ["quote_drafted", "quote_changed"]


def test_it_does_nothing_when_one_operation_is_refused(draft: QuoteVersion, unit: Unit, helper: Actor) -> None:
    before = _rows(draft)
    with pytest.raises(Refused, match="out_of_range"):
        _change(
            draft,
            helper,
            SetNote(text="lost"),
            RemoveLine(line_id=line(draft, words="Recap").id),
            AddLine(kind="part", words="Fuse", unit_minor=90, quantity=0),
        )
    draft.refresh_from_db()
    assert (_rows(draft), draft.note, draft.version) == (before, "", 1)
    assert trail_of(unit) == ["quote_drafted"]


@pytest.mark.parametrize(
    ("operation", "code", "field"),
    [
        (AddLine(kind="part", words="Fuse", unit_minor=90, quantity=0), "out_of_range", "quantity"),
        (AddLine(kind="part", words="Fuse", unit_minor=90, quantity=10_000), "out_of_range", "quantity"),
        (AddLine(kind="part", words="Fuse", unit_minor=-1), "negative_money", "unit_minor"),
        (AddLine(kind="discount", words="Goodwill", unit_minor=-1), "negative_money", "unit_minor"),
        (AddLine(kind="part", words="Fuse", unit_minor=LARGEST_MINOR + 1), "out_of_range", "unit_minor"),
        (AddLine(kind="part", words="Fuse", unit_minor=LARGEST_MINOR, quantity=9_999), "quote_too_large", ""),
        (AddLine(kind="part", words=" \n ", unit_minor=90), "blank", "words"),
        (AddLine(kind="part", words="x" * 161, unit_minor=90), "too_long", "words"),
        (AddLine(kind="gift", words="Fuse", unit_minor=90), "not_a_choice", "kind"),
        (AddLine(kind="part", words="Fuse", unit_minor=90, service_id=uuid4()), "missing", ""),
        (AddLine(kind="part", words="Fuse", unit_minor=90, part_id=uuid4()), "missing", ""),
        (AddLine(kind="discount", words="Goodwill", unit_minor=6541), "discount_too_large", ""),
        (RemoveLine(line_id=uuid4()), "missing", "line_id"),
        (ChangeLine(line_id=uuid4(), quantity=2), "missing", "line_id"),
        (SetNote(text="x" * 2001), "too_long", "text"),
    ],
)
def test_it_refuses_what_cannot_stand_on_a_quote(
    draft: QuoteVersion, helper: Actor, operation: Operation, code: str, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        _change(draft, helper, operation)
    assert (refused.value.code, refused.value.reasons[0].field) == (code, field)


def test_it_refuses_a_discount_that_only_an_option_would_pay_for(draft: QuoteVersion, helper: Actor) -> None:
    option = line(draft, words="Video output board")
    _change(draft, helper, ChangeLine(line_id=option.id, taken=True))
    with pytest.raises(Refused, match="discount_too_large"):
        _change(draft, helper, AddLine(kind="discount", words="Goodwill", unit_minor=7000))


def test_it_takes_a_discount_of_a_hundred_per_cent(draft: QuoteVersion, helper: Actor, customer: Actor) -> None:
    _change(draft, helper, AddLine(kind="discount", words="Goodwill", unit_minor=6540))
    assert decide(send(draft, helper), customer).total_minor == 0


def test_it_ticks_the_lines_of_one_option_together(draft: QuoteVersion, helper: Actor) -> None:
    option = line(draft, words="Video output board")
    _change(draft, helper, ChangeLine(line_id=option.id, taken=True))
    assert [row.taken for row in draft.lines.filter(optional=True)] == [True, True]
    _change(
        draft,
        helper,
        AddLine(kind="part", words="Cable", unit_minor=700, optional=True, service_id=option.service_id),
    )
    assert line(draft, words="Cable").taken


def test_it_makes_an_option_of_a_line_and_back(draft: QuoteVersion, helper: Actor) -> None:
    recap = line(draft, words="Recap")
    _change(draft, helper, ChangeLine(line_id=recap.id, optional=True))
    recap.refresh_from_db()
    assert (recap.optional, recap.taken) == (True, False)
    _change(draft, helper, ChangeLine(line_id=recap.id, optional=False, tax_class="none"))
    recap.refresh_from_db()
    assert (recap.optional, recap.taken, recap.tax_class) == (False, True, "none")


def test_it_changes_only_what_the_page_showed(draft: QuoteVersion, helper: Actor) -> None:
    _change(draft, helper, SetNote(text="first"))
    with pytest.raises(Stale):
        actions.change_quote(actor=helper, quote_id=draft.id, version=1, operations=[SetNote(text="second")])
    draft.refresh_from_db()
    assert draft.note == "first"


def test_it_never_changes_a_sent_edition(sent: QuoteVersion, helper: Actor) -> None:
    with pytest.raises(Refused, match="quote_not_draft"):
        _change(sent, helper, SetNote(text="cheaper"))


def test_it_leaves_a_draft_alone_when_there_is_nothing_to_do(draft: QuoteVersion, unit: Unit, helper: Actor) -> None:
    assert _change(draft, helper).version == 1
    assert trail_of(unit) == ["quote_drafted"]


def test_it_takes_at_most_a_hundred_lines(draft: QuoteVersion, helper: Actor) -> None:
    many = [AddLine(kind="part", words=f"Part {n}", unit_minor=1) for n in range(97)]
    with pytest.raises(Refused, match="too_many_lines"):
        _change(draft, helper, *many)
    _change(draft, helper, *many[1:])
    assert QuoteLine.objects.count() == 100


def test_it_knows_no_quote_that_is_not_there(helper: Actor, shop: ShopProfile) -> None:
    with pytest.raises(Missing):
        actions.change_quote(actor=helper, quote_id=uuid4(), version=1, operations=[])


def test_it_lets_no_stranger_and_no_customer_write(draft: QuoteVersion, unit: Unit, customer: Actor) -> None:
    for actor in (STRANGER, customer):
        with pytest.raises(Refused, match="not_permitted"):
            actions.draft_quote(actor=actor, unit_id=unit.id)
        with pytest.raises(Refused, match="not_permitted"):
            actions.change_quote(actor=actor, quote_id=draft.id, version=1, operations=[])
