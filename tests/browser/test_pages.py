"""Every page as people meet it: accessible, within the screen, light and dark."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import DESK, PHONE, Shop, assert_accessible, assert_no_sideways_scroll, sign_in

pytestmark = pytest.mark.browser
STAFF = ["/", "/counter?q=a", "/counter/write-up", "/bench", "/scan", "/notices", "/shop", "/scan?text=nonsense"]
MORE = ["/library", "/reckoner", "/reckoner/capacitor-life", "/reckoner/capacitor-fit", "/reckoner/esr?tan_delta=-1"]
OWN = ["/me", "/me/second-step"]
UNITS = [f"/units/{number}" for number in range(1, 10)] + ["/units/4/board", "/units/4/sheet"]


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desktop"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_staff_pages_are_accessible_and_fit(
    demo: Shop, visitor: Callable[..., Page], size: dict[str, int], scheme: str
) -> None:
    page = sign_in(visitor(size, color_scheme=scheme), demo)
    for path in [*STAFF, *MORE, *OWN, *UNITS]:
        page.goto(demo.address + path)
        assert_accessible(page)
        assert_no_sideways_scroll(page)
    for marking in ("QL-B2", "TV-041"):
        page.goto(f"{demo.address}/library")
        page.get_by_role("link", name=marking).click()
        assert_accessible(page)
        assert_no_sideways_scroll(page)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_what_strangers_and_customers_see_is_accessible_and_fits(
    demo: Shop, visitor: Callable[..., Page], scheme: str
) -> None:
    page = visitor({"width": 320, "height": 700}, color_scheme=scheme)
    for address in ("/sign-in", "/c/announce", "/c/", demo.link.removeprefix(demo.address)):
        page.goto(demo.address + address)
        assert_accessible(page)
        assert_no_sideways_scroll(page)


def test_the_three_answers_need_no_scrolling_on_a_phone(demo: Shop, visitor: Callable[..., Page]) -> None:
    page = visitor(PHONE)
    page.goto(demo.link)
    for question in ("Where is it?", "When is it done?", "What does it cost?"):
        box = page.get_by_text(question).bounding_box()
        assert box is not None
        assert box["y"] + box["height"] < PHONE["height"] / 2


def test_the_keyboard_alone_signs_in_and_reaches_the_first_unit(demo: Shop, visitor: Callable[..., Page]) -> None:
    page = visitor(DESK)
    page.goto(f"{demo.address}/sign-in")
    page.locator("#username").focus()
    page.keyboard.type("jun")
    page.keyboard.press("Tab")
    page.keyboard.type("a long wick burns slow")
    page.keyboard.press("Enter")
    page.wait_for_url(f"{demo.address}/")
    for _ in range(20):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.className") == "tag":
            break
    page.keyboard.press("Enter")
    page.wait_for_url("**/units/*")


def test_without_the_style_sheet_a_unit_reads_from_tag_to_trail(demo: Shop, visitor: Callable[..., Page]) -> None:
    page = sign_in(visitor(DESK), demo)
    page.route("**/*.css", lambda route: route.fulfill(body="", content_type="text/css"))
    page.goto(f"{demo.address}/units/4")
    words = page.inner_text("main")
    places = [words.index(word) for word in ("On Bench 1", "What now", "Job sheet", "Readings", "Trail")]
    assert places == sorted(places)
