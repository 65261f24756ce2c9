"""The main job, from the write-up to the release, through the pages alone."""

import re
from uuid import uuid4

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import NewPage
from tests.browser.shop import PHONE, Running

pytestmark = pytest.mark.browser


def write_up(page: Page, name: str, address: str) -> str:
    """Write up a new customer's unit and return its page's address."""
    page.goto("/counter")
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("E-mail").fill(address)
    page.get_by_label("Agrees to messages about the unit").check()
    press(page, "Write down, then the unit")
    page.locator("#model").select_option(label="Quillon Lantern")
    page.locator("#serial").fill(f"QL-{uuid4().hex[:8]}")
    page.locator("#complaint").fill("Only a grey picture")
    page.get_by_role("checkbox", name="Recap").check()
    page.get_by_role("radio", name="A diagnosis fee").check()
    press(page, "Write it up")
    expect(page.get_by_text("Being written up.")).to_be_visible()
    return page.url


def press(page: Page, name: str) -> None:
    """Press a button that sends its form, and wait for the page that answers."""
    send(page, page.get_by_role("button", name=name, exact=True))


def send(page: Page, button: Locator) -> None:
    with page.expect_navigation():
        button.click()


def tick_all(page: Page, until: str = "") -> None:
    """Tap Done for as long as there is a step, or until the step that says so."""
    while (step := page.locator(".step-now")).count():
        words = step.inner_text()
        if until and until in words:
            return
        press(page, "Done")
        expect(page.locator(".step-now", has_text=words)).to_have_count(0)


def take_readings(page: Page) -> None:
    """Answer every point of the procedure once, from the top."""
    points = page.locator("form:has(input[name=point])")
    for number in range(points.count()):
        point = points.nth(number)
        value = point.locator("input[name=value]")
        if value.count():
            value.fill("5.01")
            send(page, point.get_by_role("button", name="Record it"))
        else:
            send(page, point.get_by_role("button", name="Yes, it is so"))


def diagnose(page: Page) -> None:
    press(page, "Take it in")
    press(page, "Look at it")
    page.get_by_text("Count fasteners out").click()
    page.get_by_label("From where").fill("rear edge")
    page.get_by_label("How many").fill("4")
    press(page, "Into their bag")
    press(page, "It is this one")
    tick_all(page)
    press(page, "Diagnosis is done")
    expect(page.locator(".headline")).to_contain_text("Waits its turn")


def quote(page: Page) -> None:
    press(page, "Write a quote")
    press(page, "Send it to the customer")
    expect(page.get_by_text("Waits for the customer's answer")).to_be_visible()


def approve(page: Page, link: str) -> None:
    """Take an option and say yes, as the customer."""
    page.goto(link)
    assert re.search(r"/c/$", page.url)
    before = page.locator("[data-total]").inner_text()
    page.locator("input[name=taken]").first.check()
    expect(page.locator("[data-total]")).not_to_have_text(before)
    press(page, "Yes, please do it")
    expect(page.get_by_role("status")).to_contain_text("Your answer is recorded")


def work(page: Page) -> None:
    press(page, "Work on it")
    tick_all(page, until="Close it")
    take_readings(page)
    press(page, "All back")
    tick_all(page)
    press(page, "On to testing")
    take_readings(page)
    press(page, "It passed")
    expect(page.locator(".headline")).to_contain_text("Ready")


def hand_over(page: Page, code: str) -> None:
    press(page, "Take the payment")
    page.get_by_label("Code from the customer's page", exact=True).fill(code)
    press(page, "Hand it over")
    expect(page.locator(".headline")).to_contain_text("Collected")


def test_it_takes_a_unit_from_the_counter_to_its_owner(staff: Page, new_page: NewPage, open_shop: Running) -> None:
    address = f"noor.{uuid4().hex[:6]}@post.example"
    unit = write_up(staff, "Noor de Wit", address)
    diagnose(staff)
    quote(staff)
    customer = new_page(PHONE)
    approve(customer, open_shop.link_of(address))
    staff.goto(unit)
    work(staff)
    customer.reload()
    expect(customer.get_by_text("Ready to go back to you.")).to_be_visible()
    hand_over(staff, customer.locator(".tag-code").inner_text())
    customer.reload()
    expect(customer.get_by_text("It has left the shop: collected.")).to_be_visible()
    expect(staff.locator(".trail-list").first).to_contain_text("It left: collected")
