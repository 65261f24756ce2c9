"""The customer's page: without script, with an impatient thumb, and while the shop works on."""

from collections.abc import Callable
from uuid import uuid4

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import NewPage, sign_in
from tests.browser.shop import DESK, PHONE, Running
from tests.browser.test_main_job import diagnose, press, quote, write_up

pytestmark = pytest.mark.browser
Quoted = Callable[[], tuple[Page, str]]


@pytest.fixture
def quoted(new_page: NewPage, open_shop: Running) -> Quoted:
    """Bring a new unit to its quote: the staff's page of it, and the customer's link."""

    def bring() -> tuple[Page, str]:
        page, address = new_page(DESK), f"sam.{uuid4().hex[:6]}@post.example"
        sign_in(page)
        write_up(page, "Sam Adeyemi", address)
        diagnose(page)
        quote(page)
        return page, open_shop.link_of(address)

    return bring


def test_it_answers_the_three_questions_in_the_first_view(new_page: NewPage, open_shop: Running) -> None:
    page = new_page(PHONE)
    page.goto(open_shop.link)
    for answer in page.locator(".answers dd").all():
        expect(answer).to_be_in_viewport(ratio=1)
    expect(page.get_by_role("button", name="Yes, please do it")).to_be_in_viewport(ratio=1)
    assert page.locator(".answers dd").count() == 3


def test_it_is_approved_without_script(new_page: NewPage, quoted: Quoted) -> None:
    staff, link = quoted()
    customer = new_page(PHONE, java_script_enabled=False)
    customer.goto(link)
    expect(customer.get_by_text("with what is ticked when the page loads")).to_be_visible()
    press(customer, "Yes, please do it")
    expect(customer.get_by_text("Your answer is recorded")).to_be_visible()
    staff.reload()
    expect(staff.get_by_text("Edition 1: approved")).to_be_visible()


def test_a_double_tap_is_one_decision(new_page: NewPage, quoted: Quoted) -> None:
    staff, link = quoted()
    customer = new_page(PHONE, has_touch=True)
    customer.goto(link)
    customer.evaluate(
        """() => {
            const form = document.querySelector("form[action$=answer]");
            const send = () => fetch(form.action, { method: "POST", body: new URLSearchParams([...new FormData(form), ["answer", "yes"]]) });
            return Promise.all([send(), send()]);
        }"""
    )
    customer.reload()
    expect(customer.get_by_role("heading", name="Quote: approved")).to_be_visible()
    staff.reload()
    if (older := staff.get_by_text("lines before")).count():
        older.click()
    expect(staff.locator(".trail-list b", has_text="was approved")).to_have_count(1)


def test_it_follows_the_shop_without_reloading(new_page: NewPage, quoted: Quoted) -> None:
    staff, link = quoted()
    customer = new_page(PHONE)
    customer.clock.install()
    customer.goto(link)
    customer.evaluate("window.stayed = true")
    with customer.expect_response("**/api/v1/link/progress"):
        customer.clock.run_for(10_000)
    staff.get_by_text("The customer answered here").click()
    press(staff, "They said yes")
    expect(staff.get_by_text("Edition 1: approved")).to_be_visible()
    customer.clock.run_for(10_000)
    expect(customer.get_by_role("heading", name="Quote: approved")).to_be_visible()
    press(staff, "Work on it")
    expect(staff.locator(".headline")).to_contain_text("for work")
    customer.clock.run_for(10_000)
    expect(customer.get_by_text("On a bench, being worked on.")).to_be_visible()
    assert customer.evaluate("window.stayed") is True
