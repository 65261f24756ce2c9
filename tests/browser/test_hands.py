"""What hands, keys and the narrowest phone meet: targets, focus, scanned pages, the floor that renews itself."""

from collections.abc import Callable
from urllib.parse import quote

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import DESK, PHONE, Shop, assert_accessible, assert_no_sideways_scroll, sign_in

pytestmark = pytest.mark.browser

NARROW = {"width": 320, "height": 640}
NewPage = Callable[..., Page]
CONTROLS = "button, .act, select, summary, label.tick, input:not([type=hidden], [type=checkbox], [type=radio])"


def scanned(page: Page, shop: Shop) -> list[str]:
    """Addresses of what scanning shows: a bench, a badge, a bag at the bench that this device is tied to."""
    page.goto(f"{shop.address}/shop")
    codes = page.locator("td.code").all_inner_texts()
    page.goto(f"{shop.address}/units/6")
    codes.append(page.locator("#tag .big").inner_text())
    page.goto(f"{shop.address}/scan?text={quote(codes[0])}")
    with page.expect_navigation():
        page.get_by_role("button", name="I work here with this device").click()
    return [f"{shop.address}/scan?text={quote(code)}" for code in (codes[0], codes[-2], codes[-1])]


def drafted(page: Page, shop: Shop) -> str:
    """Begin a quote, or go on with the one that was begun, and return its address."""
    page.goto(f"{shop.address}/units/9")
    begun = page.get_by_role("link", name="Go on with the draft")
    with page.expect_navigation():
        (begun if begun.count() else page.get_by_role("button", name="Write a quote")).click()
    expect(page.get_by_role("heading", name="Quote, edition")).to_be_visible()
    return page.url


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_everything_unfolded_is_accessible_and_fits_the_narrowest_phone(
    demo: Shop, visitor: NewPage, scheme: str
) -> None:
    page = sign_in(visitor(NARROW, color_scheme=scheme, reduced_motion="reduce"), demo)
    units = [f"{demo.address}/units/{number}" for number in range(1, 10)]
    more = [f"{demo.address}/{name}" for name in ("", "counter", "bench", "library", "shop", "units/999")]
    for address in [*more, *scanned(page, demo), drafted(page, demo), *units]:
        page.goto(address)
        page.evaluate("document.querySelectorAll('details').forEach((part) => { part.open = true; })")
        assert_accessible(page)
        assert_no_sideways_scroll(page)


def test_a_hand_hits_what_it_aims_at(demo: Shop, visitor: NewPage) -> None:
    """Targets are 48 px high by our own rule, which is twice what WCAG 2.2 asks (2.5.8)."""
    page = sign_in(visitor(PHONE), demo)
    small = []
    for path in ["/", "/counter", "/bench", "/scan", "/units/4", "/units/9"]:
        page.goto(demo.address + path)
        heights = page.eval_on_selector_all(
            CONTROLS,
            "all => all.filter(one => one.offsetParent).map(one => [one.outerHTML.slice(0, 90), one.offsetHeight])",
        )
        small += [(path, *one) for one in heights if one[1] < 48]
    assert small == []


def test_the_keyboard_alone_ticks_the_present_step(demo: Shop, visitor: NewPage) -> None:
    page = sign_in(visitor(DESK), demo, "jun")
    page.goto(f"{demo.address}/units/4")
    step = page.locator(".step-now").inner_text()
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.innerText") == "Done":
            break
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.locator(".step-now")).not_to_have_text(step)


def test_the_skip_link_shows_itself_and_leads_to_the_page(demo: Shop, visitor: NewPage) -> None:
    page = sign_in(visitor(DESK), demo)
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="To the page")).to_be_focused()
    expect(page.get_by_role("link", name="To the page")).to_be_in_viewport()
    page.keyboard.press("Enter")
    assert page.url.endswith("#main")


def test_the_floor_renews_itself_without_breaking_the_policy(demo: Shop, visitor: NewPage) -> None:
    page = sign_in(visitor(DESK), demo)
    with page.expect_response(lambda answer: answer.request.headers.get("hx-request") == "true") as renewed:
        page.evaluate("htmx.ajax('GET', '/', {target: '[hx-get]'})")
    assert renewed.value.ok
    expect(page.get_by_role("heading", name="Floor")).to_have_count(1)


def test_slow_keys_are_no_scan(demo: Shop, visitor: NewPage) -> None:
    page = sign_in(visitor(DESK), demo)
    page.goto(f"{demo.address}/notices")
    page.keyboard.type("ABCDEFGH", delay=120)
    page.keyboard.press("Enter")
    assert page.url.endswith("/notices")
    expect(page.locator("#slip-text")).to_have_value("")


def test_a_photo_of_a_label_is_sent_as_soon_as_it_is_taken(demo: Shop, visitor: NewPage) -> None:
    page = sign_in(visitor(PHONE), demo)
    label = page.request.get(f"{demo.address}/units/4/labels?as=png").body()
    page.goto(f"{demo.address}/scan")
    photo = {"name": "label.png", "mimeType": "image/png", "buffer": label}
    with page.expect_navigation(url="**/units/4"):
        page.get_by_label("Take or choose a photo of the label").set_input_files(photo)  # type: ignore[arg-type]
