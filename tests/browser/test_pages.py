"""Every page, on a phone and on a desk, light and dark: reachable by everybody, nothing sticks out, nobody complains."""

from urllib.parse import quote

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.conftest import NewPage, sign_in
from tests.browser.shop import DESK, PASSWORD, PHONE, Running
from tests.browser.test_main_job import press

pytestmark = pytest.mark.browser

NARROW = {"width": 320, "height": 640}
# The demo's units by number, each in another place of the journey.
UNITS = [f"/units/{number}" for number in range(1, 10)]
STAFF = ["/", "/counter", "/counter?q=lantern", "/counter/write-up", "/bench", "/scan", "/scan?text=ABC1234X"]
STAFF += ["/notices", "/shop", "/units/999", *UNITS]
PUBLIC = ["/sign-in", "/c/announce", "/c/" + "0" * 40]
# What axe calls rules of WCAG 2.2 AA, and its good practice.
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}


def scanned(page: Page) -> list[str]:
    """Addresses of what scanning shows: a bench, a badge, a bag at the bench that this device is tied to."""
    page.goto("/shop")
    codes = page.locator("td.code").all_inner_texts()
    page.goto(UNITS[5])
    codes.append(page.locator("#tag .big").inner_text())
    page.goto(f"/scan?text={quote(codes[0])}")
    press(page, "I work here with this device")
    return [f"/scan?text={quote(code)}" for code in (codes[0], codes[-2], codes[-1])]


def drafted(page: Page) -> str:
    """Begin a quote, or go on with the one that was begun, and return its address."""
    page.goto(UNITS[8])
    begun = page.get_by_role("link", name="Go on with the draft")
    if begun.count():
        begun.click()
    else:
        press(page, "Write a quote")
    expect(page.get_by_role("heading", name="Quote, edition")).to_be_visible()
    return page.url


def faults(page: Page) -> list[str]:
    """What axe-core finds on the page as it stands, everything unfolded."""
    page.evaluate("document.querySelectorAll('details').forEach((part) => { part.open = true; })")
    found = Axe().run(page, options=RULES).response["violations"]
    return [f"{page.url}: {one['id']}: {node['html'][:160]}" for one in found for node in one["nodes"]]


def sticks_out(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"))


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_is_clean_for_axe_in_both_schemes(new_page: NewPage, open_shop: Running, scheme: str) -> None:
    page = new_page(PHONE, color_scheme=scheme, reduced_motion="reduce")
    found: list[str] = []
    for address in PUBLIC:
        page.goto(address)
        found += faults(page)
    page.goto(open_shop.link)
    found += faults(page)
    sign_in(page)
    for address in [*STAFF, *scanned(page), drafted(page)]:
        page.goto(address)
        found += faults(page)
    page.set_viewport_size(DESK)  # type: ignore[arg-type]
    for address in ["/", "/counter", UNITS[3]]:
        page.goto(address)
        found += faults(page)
    assert found == []


def test_it_scrolls_one_way_only_on_the_narrowest_phone(new_page: NewPage, open_shop: Running) -> None:
    page = new_page(NARROW)
    wide = []
    for address in [*PUBLIC, open_shop.link]:
        page.goto(address)
        wide += [address] if sticks_out(page) else []
    sign_in(page)
    for address in [*STAFF, *scanned(page), drafted(page)]:
        page.goto(address)
        wide += [address] if sticks_out(page) else []
    assert wide == []


def test_a_hand_hits_what_it_aims_at(new_page: NewPage) -> None:
    """Every control is 44 px high or more: our own rule for gloved hands is 48, less only what the browser rounds."""
    page = new_page(PHONE)
    sign_in(page)
    small = []
    for address in ["/", "/counter", "/bench", "/scan", UNITS[3], UNITS[8]]:
        page.goto(address)
        heights = page.eval_on_selector_all(
            "button, .act, select, summary, label.tick, input:not([type=hidden]):not([type=checkbox]):not([type=radio])",
            "all => all.filter(one => one.offsetParent).map(one => [one.outerHTML.slice(0, 90), one.offsetHeight])",
        )
        small += [(address, *one) for one in heights if one[1] < 44]
    assert small == []


def test_it_can_be_used_with_the_keyboard_alone(new_page: NewPage) -> None:
    """Sign in, go to the unit in work, and tick its present step, without a mouse."""
    page = new_page(DESK)
    page.goto("/sign-in")
    page.locator("#username").focus()
    page.keyboard.type("jun")
    page.keyboard.press("Tab")
    page.keyboard.type(PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url("**/")
    page.goto(UNITS[3])
    step = page.locator(".step-now").inner_text()
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.innerText") == "Done":
            break
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    page.keyboard.press("Enter")
    expect(page.locator(".step-now", has_text=step)).to_have_count(0)


def test_the_skip_link_shows_and_leads_to_the_page(new_page: NewPage) -> None:
    page = new_page(DESK)
    sign_in(page)
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="To the page")).to_be_focused()
    expect(page.get_by_role("link", name="To the page")).to_be_in_viewport()
    page.keyboard.press("Enter")
    assert page.url.endswith("#main")


def test_the_floor_renews_itself_without_breaking_the_policy(new_page: NewPage) -> None:
    page = new_page(DESK)
    sign_in(page)
    with page.expect_response(lambda answer: answer.request.headers.get("hx-request") == "true") as renewed:
        page.evaluate("htmx.ajax('GET', '/', {target: '[hx-get]'})")
    assert renewed.value.ok
    expect(page.get_by_role("heading", name="Floor")).to_have_count(1)
