"""The whole job through the pages alone, from the write-up to the release, and the customer's answer on the way."""

import email
import io
import re
import time
from collections.abc import Callable
from email import policy
from uuid import uuid4

import pytest
from PIL import Image
from playwright.sync_api import FilePayload, Locator, Page, expect

from tests.browser.conftest import DESK, PHONE, Shop, sign_in

pytestmark = pytest.mark.browser

BENCH = "Bench 3"  # free in the demo, and free again after each job
WAIT_S = 60
NewPage = Callable[..., Page]


def press(page: Page, name: str) -> None:
    """Press a button that sends its form, and wait for the page that answers."""
    send(page, page.get_by_role("button", name=name, exact=True))


def send(page: Page, button: Locator) -> None:
    with page.expect_navigation():
        button.click()


def link_of(shop: Shop, address: str) -> str:
    """Wait for the message with the quote, and return the private link in it."""
    deadline = time.monotonic() + WAIT_S
    while time.monotonic() < deadline:
        for file in (shop.folder / "mail").glob("*"):
            message = email.message_from_bytes(file.read_bytes(), policy=policy.default)
            body = message.get_body(("plain",))
            if address in str(message["To"]) and "quote" in str(message["Subject"]).lower() and body:
                return str(re.findall(r"http\S+/c/[0-9a-f]{40}", body.get_content())[0])
        time.sleep(0.2)
    raise AssertionError(f"no quote was delivered to {address} within {WAIT_S} s")


def write_up(page: Page, shop: Shop, address: str) -> None:
    page.goto(f"{shop.address}/counter")
    page.get_by_label("Name", exact=True).fill("Noor de Wit")
    page.get_by_label("E-mail").fill(address)
    page.get_by_label("Agrees to messages about the unit").check()
    press(page, "Write down, then the unit")
    page.locator("#model").select_option(label="Quillon Lantern")
    page.locator("#serial").fill(f"QL-{uuid4().hex[:8]}")
    page.locator("#complaint").fill("Only a grey picture")
    page.get_by_role("checkbox", name="Recap").check()
    page.get_by_role("checkbox", name="Clean").check()
    page.get_by_role("radio", name="A diagnosis fee").check()
    for terms in page.locator("input[name^=consent_]").all():
        terms.check()
    press(page, "Write it up")
    expect(page.locator(".headline")).to_contain_text("Being written up")


def tick_all(page: Page, until: str = "") -> None:
    """Tap Done for as long as there is a step, or until the step that says so."""
    while (step := page.locator(".step-now")).count() and not (until and until in step.inner_text()):
        if (photo := page.locator("#step-photo[required]")).count():
            photo.set_input_files(a_photo())
        if (value := page.locator("#step-value")).count():
            value.fill("480")
        press(page, "Done")
        expect(page.get_by_role("alert")).to_have_count(0)


def take_readings(page: Page) -> None:
    """Answer every point of the procedure once, from the top."""
    points = page.locator("form:has(input[name=point])")
    for number in range(points.count()):
        point = points.nth(number)
        value = point.locator("input[name=value]")
        if value.count():
            value.fill("5.01")
        send(page, point.get_by_role("button", name=re.compile("^(Record it|Yes, it is so)$")))


def a_photo() -> FilePayload:
    """A picture as a phone's camera takes it."""
    taken = io.BytesIO()
    Image.new("RGB", (320, 240), (60, 90, 40)).save(taken, "JPEG")
    return {"name": "board.jpg", "mimeType": "image/jpeg", "buffer": taken.getvalue()}


def photograph(page: Page) -> None:
    """Put a picture of the board with the unit."""
    page.locator("#uphoto").set_input_files(a_photo())
    page.locator("#purpose").select_option("board")
    press(page, "Put it with the unit")


def diagnose(page: Page) -> None:
    press(page, "Take it in")
    page.locator("#bench-start_diagnosis").select_option(label=BENCH)
    press(page, "Look at it")
    assert groups_out(page) == 4
    page.locator("#variant").select_option("60 Hz")
    press(page, "It is this one")
    photograph(page)
    take_readings(page)
    tick_all(page)
    press(page, "Diagnosis is done")
    expect(page.locator(".headline")).to_contain_text("Waits its turn")


def groups_out(page: Page) -> int:
    """Tap every group of fasteners out that the library knows, and return how many there were."""
    taps = 0
    while (out := page.locator("form[action$='/do/group-out'] button")).count():
        if not out.first.is_visible():
            page.get_by_text("Take a known group out").click()
        send(page, out.first)
        taps += 1
    return taps


def groups_back(page: Page) -> int:
    """Put back what the picture says is next: the compartment that is chosen belongs to it. Return how many."""
    taps = 0
    while (held := page.locator("input[name=held]:checked")).count():
        send(page, page.locator(f"button[name=back][value='{held.get_attribute('value')}']"))
        expect(page.get_by_role("alert")).to_have_count(0)
        taps += 1
    return taps


def quote(page: Page) -> None:
    press(page, "Write a quote")
    press(page, "Send it to the customer")
    expect(page.locator(".headline")).to_contain_text("Waits for the customer's answer")


def work(page: Page) -> None:
    page.locator("#bench-start_work").select_option(label=BENCH)
    press(page, "Work on it")
    tick_all(page, until="Close it")
    take_readings(page)
    assert groups_back(page) == 4
    tick_all(page)
    press(page, "On to testing")
    take_readings(page)
    press(page, "It passed")
    expect(page.locator(".headline")).to_contain_text("Ready")


@pytest.fixture
def quoted(demo: Shop, visitor: NewPage) -> Callable[[dict[str, int]], tuple[Page, str]]:
    """Bring a new unit to its quote: the staff's page of it, and the customer's link."""

    def bring(size: dict[str, int]) -> tuple[Page, str]:
        page, address = sign_in(visitor(size), demo), f"noor.{uuid4().hex[:6]}@post.example"
        page.set_default_timeout(WAIT_S * 1000)
        write_up(page, demo, address)
        diagnose(page)
        quote(page)
        return page, link_of(demo, address)

    return bring


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["390x844", "1440x900"])
def test_a_unit_goes_from_the_counter_to_its_owner(
    visitor: NewPage, quoted: Callable[[dict[str, int]], tuple[Page, str]], size: dict[str, int]
) -> None:
    staff, link = quoted(size)
    customer = visitor(PHONE)
    customer.goto(link)
    assert customer.url.endswith("/c/")
    expect(customer.get_by_role("button", name="Yes, please do it")).to_be_in_viewport(ratio=1)
    customer.locator("input[name=taken]").first.check()
    press(customer, "Yes, please do it")
    expect(customer.get_by_role("status")).to_contain_text("Your answer is recorded")
    staff.reload()
    work(staff)
    customer.reload()
    expect(customer.get_by_text("Ready to go back to you.")).to_be_visible()
    press(staff, "Take the payment")
    staff.locator("#code").fill(customer.locator(".tag-code").inner_text())
    press(staff, "Hand it over")
    expect(staff.locator(".headline")).to_contain_text("Collected")
    expect(staff.locator(".trail-list").first).to_contain_text("It left: collected")
    customer.reload()
    expect(customer.get_by_text("It has left the shop: collected.")).to_be_visible()


def test_without_script_the_quote_is_approved_once(
    visitor: NewPage, quoted: Callable[[dict[str, int]], tuple[Page, str]]
) -> None:
    staff, link = quoted(DESK)
    customer = visitor(PHONE, java_script_enabled=False)
    customer.goto(link)
    expect(customer.get_by_role("button", name="Reckon again with what is ticked")).to_be_visible()
    customer.get_by_role("button", name="Yes, please do it").dblclick()
    expect(customer.get_by_text("Quote: approved")).to_be_visible()
    staff.reload()
    expect(staff.get_by_text("Edition 1: approved")).to_be_visible()
    assert (staff.locator("main").text_content() or "").count("was approved") == 1
