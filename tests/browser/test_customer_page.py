"""The page that the customer lives on, in a real browser: with script and without, on a phone, by keyboard."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

import pytest
from playwright.sync_api import Page, expect

from shop.floor.demo.stock_in_trade import PASSWORD
from shop.floor.walkthrough.client import Browser
from shop.floor.walkthrough.client import Page as Answer
from shop.floor.walkthrough.walk import picture
from shop.ledger.tax import TaxRules
from shop.quotes.lines import Line
from shop.quotes.pricing import choose, price
from tests.browser.conftest import DESK, PHONE, Shop, assert_accessible, assert_no_sideways_scroll

pytestmark = pytest.mark.browser
Visitor = Callable[..., Page]
NARROW = {"width": 320, "height": 640}
# A window of 1280 pixels at 200 %.
ZOOMED: dict[str, Any] = {"size": {"width": 640, "height": 400}, "device_scale_factor": 2}
SHIFTS = """
  window.shifted = 0;
  new PerformanceObserver((list) => { for (const one of list.getEntries()) window.shifted += one.value; })
    .observe({ type: "layout-shift", buffered: true });
"""
# What is added to the demo's quote: three cases of which one is taken, a cable or none, and a filter for one of them.
OPTIONS = [
    ("Case, clear", "20.05", "Case", False), ("Case, smoke", "23.15", "Case", False),
    ("Cable, component", "15.00", "Cable", True), ("Cable, composite", "9.99", "Cable", True),
    ("Filter in the cable", "3.33", "", False),
]  # fmt: skip


@dataclass(frozen=True)
class Asked:
    """A unit of the demo whose quote waits, the staff's browser, and the lines as the pricing knows them."""

    staff: Browser
    number: int
    lines: tuple[Line, ...]
    rules: TaxRules

    def total(self, *words: str) -> int:
        """What it comes to with the options that have these words, in minor units."""
        taken = {line.option for line in self.lines if line.optional and line.words in words}
        return price(choose(self.lines, taken), self.rules).total_minor

    def unit_page(self) -> Answer:
        return self.staff.ask(f"/units/{self.number}")


@pytest.fixture(scope="module")
def staff(demo: Shop) -> Browser:
    browser = Browser(demo.address)
    signed = browser.send(browser.ask("/sign-in"), "", username="ottilie", password=PASSWORD)
    assert signed.status == 200
    return browser


@pytest.fixture
def asked(demo: Shop, staff: Browser) -> Asked:
    """Send a new edition with options and a discount on everything."""
    customer = Browser(demo.address)
    number = int(re.findall(r"/c/unit/(\d+)/part", customer.ask(demo.link).body.decode())[0])
    draft = staff.send(staff.ask(f"/units/{number}"), "/do/draft", postage="")
    # The last first: what another line needs cannot be taken off before it.
    for line in reversed(dict.fromkeys(re.findall(r'name="line" value="([^"]+)"', draft.body.decode()))):
        draft = _removed(staff, draft, line)
    draft = _added(staff, draft, kind="labour", words="Recap and clean", price="95.00")
    draft = _added(staff, draft, kind="discount", words="For a regular", price="0", percent="7.5")
    for words, amount, group, may_skip in OPTIONS:
        more = {"one_of": group, "may_skip": "on" if may_skip else None, "taken": "on" if "clear" in words else None}
        if words.startswith("Filter"):
            needed = re.search(r'<option value="([^"]+)">Cable, component', draft.body.decode())
            assert needed is not None
            more["needs"] = needed[1]
        draft = _added(staff, draft, kind="part", words=words, price=amount, optional="on", **more)
    sent = staff.send(draft, "/do/send")
    assert "Waits for the customer" in sent.text
    return Asked(staff, number, _lines(), TaxRules(6000, 0, "USD"))  # the demo's rate, 6 %


def _added(staff: Browser, draft: Answer, **fields: Any) -> Answer:
    answer = staff.send(draft, "/do/add", quantity="1", **fields)
    assert str(fields["words"]) in answer.text, answer.text[:600]
    return answer


def _removed(staff: Browser, draft: Answer, line: str) -> Answer:
    """Press the second button of the line's form."""
    form = next(form for form in draft.forms if form.action.endswith("/do/change") and ("line", line) in form.fields)
    action, sent = form.action.replace("/do/change", "/do/remove"), urlencode(form.fields).encode()
    headers = {"Content-Type": "application/x-www-form-urlencoded", "Referer": draft.address}
    return staff.ask(action, sent, "POST", **headers)


def _lines() -> tuple[Line, ...]:
    options = [
        Line(words, "part", 1, round(float(amount) * 100), optional=True, taken=False, option=words, one_of=group,
             may_skip=may_skip, needs="Cable, component" if words.startswith("Filter") else "")
        for words, amount, group, may_skip in OPTIONS
    ]  # fmt: skip
    off = Line("For a regular", "discount", 1, 0, percent_millipercent=7500)
    return (Line("Recap and clean", "labour", 1, 9500), off, *options)


def shown_total(page: Page) -> int:
    expect(page.locator("[data-part=sums]")).not_to_have_attribute("aria-busy", "true")
    return int(page.locator("[data-total]").get_attribute("data-total") or 0)


def tick(page: Page, words: str) -> None:
    """Tick by the words beside it, and wait until the shop has reckoned."""
    with page.expect_response("**/sums"):
        page.get_by_label(re.compile(f"^{words}")).check()


def agree(page: Page) -> None:
    for box in page.locator("input[name=agreed]").all():
        box.check()


def test_it_is_read_and_approved_without_script(demo: Shop, asked: Asked, visitor: Visitor) -> None:
    page = visitor(PHONE, java_script_enabled=False)
    page.goto(demo.link)
    assert int(page.locator("[data-total]").get_attribute("data-total") or 0) == asked.total("Case, clear")
    page.get_by_label(re.compile("^Case, smoke")).check()
    page.get_by_label(re.compile("^Cable, composite")).check()
    page.get_by_role("button", name="Reckon again with what is ticked").click()
    total = asked.total("Case, smoke", "Cable, composite")
    assert int(page.locator("[data-total]").get_attribute("data-total") or 0) == total
    assert page.get_by_label(re.compile("^Case, smoke")).is_checked()
    agree(page)
    page.get_by_role("button", name="Yes, please do it").click()
    expect(page.get_by_role("status")).to_contain_text("Your answer is recorded")
    expect(page.locator("dl.answers")).to_contain_text(f"${total / 100:.2f} in all")


def test_the_total_follows_the_ticks_to_the_cent_that_is_billed(demo: Shop, asked: Asked, visitor: Visitor) -> None:
    page = visitor(PHONE)
    page.goto(demo.link)
    expect(page.get_by_role("button", name="Reckon again with what is ticked")).to_be_hidden()
    assert shown_total(page) == asked.total("Case, clear")
    tick(page, "Case, smoke")
    assert shown_total(page) == asked.total("Case, smoke")
    tick(page, "Cable, component")
    tick(page, "Filter in the cable")
    assert shown_total(page) == asked.total("Case, smoke", "Cable, component", "Filter in the cable")
    tick(page, "Cable, composite")
    expect(page.locator("[data-why]")).to_contain_text("only makes sense together with “Cable, component”")
    tick(page, "Cable, component")
    expect(page.locator("[data-why]")).to_be_hidden()
    total = shown_total(page)
    agree(page)
    page.get_by_role("button", name="Yes, please do it").click()
    expect(page.get_by_role("status")).to_contain_text("Your answer is recorded")
    expect(page.locator("dl.answers")).to_contain_text(f"${total / 100:.2f} in all")
    assert total == asked.total("Case, smoke", "Cable, component", "Filter in the cable")


def test_it_says_so_when_the_shop_cannot_be_asked(demo: Shop, asked: Asked, visitor: Visitor) -> None:
    page = visitor(PHONE)
    page.goto(demo.link)
    page.route("**/sums", lambda route: route.fulfill(status=404, content_type="application/json", body="{}"))
    page.get_by_label(re.compile("^Cable, component")).check()
    again = page.get_by_role("button", name="Reckon again with what is ticked")
    expect(again).to_be_visible()
    again.click()
    assert shown_total(page) == asked.total("Case, clear", "Cable, component")


def test_the_return_key_on_a_tick_approves_nothing(demo: Shop, asked: Asked, visitor: Visitor) -> None:
    page = visitor(DESK)
    page.goto(demo.link)
    page.get_by_label(re.compile("^Filter in the cable")).focus()
    page.keyboard.press("Enter")
    page.wait_for_load_state()
    expect(page.get_by_role("button", name="Yes, please do it")).to_be_visible()
    assert "Your answer is recorded" not in page.inner_text("main")


def test_two_pictures_slide_by_keyboard(demo: Shop, asked: Asked, visitor: Visitor) -> None:
    for shade, purpose in ((40, "before"), (200, "after")):
        asked.staff.send(asked.unit_page(), "/do/photo", files={"photo": picture(shade)}, purpose=purpose)
    page = visitor(PHONE)
    page.goto(demo.link)
    slide = page.get_by_label("Slide from before to after")
    slide.focus()
    cut = "getComputedStyle(document.querySelector('[data-pair] figure + figure')).clipPath"
    before = page.evaluate(cut)
    for _press in range(10):
        page.keyboard.press("ArrowRight")
    assert slide.input_value() == "60"
    assert (before, page.evaluate(cut)) == ("inset(0px 0px 0px 50%)", "inset(0px 0px 0px 60%)")


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desktop"])
def test_nothing_moves_while_it_loads(demo: Shop, asked: Asked, visitor: Visitor, size: dict[str, int]) -> None:
    page = visitor(size)
    hosts: set[str] = set()
    page.on("request", lambda request: hosts.add("/".join(request.url.split("/")[:3])))
    page.add_init_script(SHIFTS)
    page.goto(demo.link, wait_until="networkidle")
    page.evaluate("window.scrollTo(0, document.body.scrollHeight)")
    page.wait_for_timeout(500)
    assert page.evaluate("window.shifted") == 0
    assert hosts == {demo.address}


@pytest.mark.parametrize("how", [{"size": NARROW}, ZOOMED], ids=["320 px", "200 %"])
def test_it_needs_no_sideways_scrolling(demo: Shop, asked: Asked, visitor: Visitor, how: dict[str, Any]) -> None:
    page = visitor(**how)
    for language in ("en", "de", "fr"):
        page.goto(demo.link)
        page.locator(f"button[name=language][value={language}]").click()
        for fold in page.locator("summary").all():
            fold.click()
        assert_no_sideways_scroll(page)
        if how is ZOOMED:  # letters twice as large, besides
            page.evaluate("document.documentElement.style.fontSize = '34px'")
            assert_no_sideways_scroll(page)
    page.locator("button[name=language][value=en]").click()


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desktop"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_is_accessible_in_every_state(
    demo: Shop, asked: Asked, visitor: Visitor, size: dict[str, int], scheme: str
) -> None:
    page = visitor(size, color_scheme=scheme)
    for path in ("/c/", "/c/lost", "/c/check", "/c/announce"):
        page.goto(demo.address + path)
        assert_accessible(page)
        assert_no_sideways_scroll(page)
    page.goto(demo.link)
    for fold in page.locator("summary").all():
        fold.click()
    assert_accessible(page)
    page.fill("#question", "Does it take the old cable?")
    page.get_by_role("button", name="Send it").click()
    expect(page.get_by_role("status")).to_contain_text("Thank you. We answer here")
    tick(page, "Filter in the cable")
    assert_accessible(page)
    assert_no_sideways_scroll(page)


def test_it_shows_what_happens_without_being_loaded_again(demo: Shop, asked: Asked, visitor: Visitor) -> None:
    page = visitor(PHONE)
    page.goto(demo.link)
    page.evaluate("window.loaded = 'once'")
    draft = asked.staff.send(asked.unit_page(), "/do/draft", postage="14.50")
    draft = _added(asked.staff, draft, kind="part", words="A hinge found cracked", price="4.50")
    asked.staff.send(draft, "/do/send")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(page.locator("main")).to_contain_text("New: A hinge found cracked, $4.50", timeout=15_000)
    assert page.evaluate("window.loaded") == "once"


def test_it_takes_nothing_away_from_who_is_ticking_or_typing(demo: Shop, asked: Asked, visitor: Visitor) -> None:
    page = visitor(PHONE)
    page.goto(demo.link)
    tick(page, "Cable, component")
    page.get_by_label(re.compile("^Cable, component")).blur()
    draft = asked.staff.send(asked.unit_page(), "/do/draft", postage="14.50")
    asked.staff.send(_added(asked.staff, draft, kind="part", words="A hinge found cracked", price="4.50"), "/do/send")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    page.wait_for_timeout(1500)
    assert page.get_by_label(re.compile("^Cable, component")).is_checked()
    agree(page)
    page.get_by_role("button", name="Yes, please do it").click()
    expect(page.get_by_role("alert").first).to_contain_text("A newer edition has taken the place")
    expect(page.locator("main")).to_contain_text("A hinge found cracked")
