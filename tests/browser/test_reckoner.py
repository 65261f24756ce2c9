"""The reckoner under a thumb: a figure is changed, the answer comes into view, and goes into a unit's trail."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import PHONE, Shop, sign_in

pytestmark = pytest.mark.browser


def test_a_thumb_reckons_and_keeps_it_with_a_unit(demo: Shop, visitor: Callable[..., Page]) -> None:
    page = sign_in(visitor(PHONE, has_touch=True), demo)
    page.goto(f"{demo.address}/units/4")
    page.get_by_role("link", name="Reckon something for it").tap()
    page.get_by_role("link", name="Life with ripple and voltage").tap()
    page.get_by_label("It runs at").fill("75")
    page.get_by_role("button", name="Reckon").tap()
    answer = page.locator(".answer")
    expect(answer).to_contain_text("16,000 h")
    expect(answer).to_be_in_viewport()
    page.get_by_role("button", name="Keep it").tap()
    page.wait_for_url(f"{demo.address}/units/4#trail")
    expect(page.get_by_text("Reckoned: Life with ripple and voltage")).to_be_visible()
