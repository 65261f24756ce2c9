"""What the shop's prices are made of, on their page: figures, mark-ups, and templates out of use."""

from datetime import time

import pytest

from shop.core.models import ShopProfile
from shop.quotes.actions import draft_quote
from shop.quotes.drafting import markup_bands
from shop.quotes.markup import Band
from shop.quotes.models import QuoteTemplate
from tests.screens.browsing import Browser, forms, said
from tests.screens.conftest import At, text_of

TYPED = {
    "tax_rate": "8.875", "tax_reduced": "4", "urgency": "25", "insurance": "1.5", "labour_rate": "48.00",
    "labour_step_minutes": "30", "deposit_percent": "50", "deposit_from": "100", "insurance_least": "2",
    "digest_minutes": "10", "promise_percent": "90", "reminder_days": "3", "prices_include_tax": "on",
    "quiet_from": "21:00", "quiet_until": "07:30", "payment_link": "https://pay.example/{number}",
}  # fmt: skip


def filled(browser: Browser) -> dict[str, str]:
    """The form of the figures as the page fills it, and the choices that are no inputs."""
    form = forms(browser.see("money"))["/shop/money/figures"]
    ticks = ("prices_include_tax", "fee_credited")
    chosen = {
        "tax_basis": "item",
        "tax_rounding": "half_up",
        "terms_work": "With care.",
        "terms_save_data": "Saves may be lost.",
    }
    return {name: value for name, value in form.items() if name not in ticks} | chosen


def test_it_keeps_what_is_typed_as_it_is_meant(as_owner: Browser, shop: ShopProfile) -> None:
    answer = as_owner.post("/shop/money/figures", filled(as_owner) | TYPED)
    assert answer.status_code == 303, said(answer)
    kept = ShopProfile.objects.get()
    assert (kept.tax_rate_millipercent, kept.tax_reduced_millipercent, kept.urgency_millipercent) == (
        8875,
        4000,
        25_000,
    )
    assert (kept.insurance_millipercent, kept.insurance_least_minor, kept.labour_rate_minor) == (1500, 200, 4800)
    assert (kept.labour_step_minutes, kept.deposit_percent, kept.deposit_from_minor) == (30, 50, 10_000)
    assert (kept.tax_basis, kept.prices_include_tax, kept.fee_credited) == ("item", True, False)
    assert (kept.quiet_from, kept.quiet_until, kept.terms_work) == (time(21), time(7, 30), "With care.")
    page = text_of(as_owner.see("money"))
    for shown in ('value="8.875"', 'value="48.00"', 'value="100.00"', "https://pay.example/{number}"):
        assert shown in page


@pytest.mark.parametrize(
    "wrong",
    [
        {"tax_rate": "eight"}, {"tax_rate": "-1"}, {"tax_rate": "101"}, {"deposit_percent": "101"},
        {"labour_rate": "-5"}, {"labour_step_minutes": "0"}, {"quiet_from": "25:00"}, {"tax_basis": "never"},
        {"tax_rounding": "up and away"}, {"promise_percent": "100"}, {"version": "1000"},
        {"payment_link": "javascript:alert(1)"},
    ],
)  # fmt: skip
def test_it_keeps_nothing_when_a_figure_cannot_be(as_owner: Browser, shop: ShopProfile, wrong: dict[str, str]) -> None:
    before = ShopProfile.objects.values().get()
    answer = as_owner.post("/shop/money/figures", filled(as_owner) | TYPED | wrong)
    assert answer.status_code == 422, wrong
    assert said(answer)
    assert ShopProfile.objects.values().get() == before


def test_it_sets_mark_ups_and_refuses_those_that_leave_a_cost_out(as_owner: Browser, shop: ShopProfile) -> None:
    rows = {"from0": "0", "markup0": "50", "least0": "0.25", "from1": "10", "markup1": "20.5", "least1": ""}
    assert as_owner.send("money-do", "markup", **rows).status_code == 303
    bands = (Band(0, 50_000, 25), Band(1000, 20_500, 0))
    assert markup_bands() == bands
    for wrong in ({"from0": "5"}, {"from1": "0"}, {"markup0": "-1"}, {"markup0": "much"}, {"least0": "-1"}):
        refused = as_owner.send("money-do", "markup", **(rows | wrong))
        assert refused.status_code == 422, wrong
        assert said(refused)
        assert markup_bands() == bands
    page = text_of(as_owner.see("money"))
    assert 'value="20.5"' in page


def test_a_template_is_kept_on_a_quote_used_on_another_and_taken_out_of_use(
    as_owner: Browser, unit_at: At, owner: object
) -> None:
    first, second = (draft_quote(actor=owner, unit_id=unit_at("intake").id) for _ in range(2))  # type: ignore[arg-type]
    assert as_owner.send("quote-do", first.id, "keep", name="Recap").status_code == 303
    template = QuoteTemplate.objects.get()
    assert "Recap" in text_of(as_owner.see("quote", second.id))
    used = as_owner.send("quote-do", second.id, "template", template=str(template.id), version=str(second.version))
    assert used.status_code == 303
    assert second.lines.count() == 2 * first.lines.count()
    assert as_owner.send("money-do", "retire-template", template=str(template.id)).status_code == 303
    assert not QuoteTemplate.objects.filter(retired_at=None).exists()


def test_only_the_owner_sees_it(as_counter: Browser, as_technician: Browser) -> None:
    for browser in (as_counter, as_technician):
        assert browser.see("money").status_code == 403
        assert browser.send("money-do", "markup", from0="0", markup0="1", least0="0").status_code == 403
