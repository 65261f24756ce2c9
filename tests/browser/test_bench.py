"""Somebody who has never seen the board does the whole job at the bench from the phone: by taps, in the right order."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import DESK, Shop, sign_in
from tests.browser.test_whole_job import a_photo, groups_back, groups_out, press

pytestmark = pytest.mark.browser

NewPage = Callable[..., Page]
ON_ITS_WAY = re.compile(r"^(Test it as it came|Unplug it)")
MENDED = "Lifted pad (at C12)"


def _now(page: Page) -> str:
    return page.locator(".step-now").inner_text()


def _done(page: Page) -> None:
    """Tap Done, with the photo or the reading that the step asks for."""
    if (photo := page.locator("#step-photo[required]")).count():
        photo.set_input_files(a_photo())
    if (value := page.locator("#step-value")).count():
        value.fill("0.3" if page.get_by_label("Reading, V").count() else "480")
    press(page, "Done")
    expect(page.get_by_role("alert")).to_have_count(0)


def _until(page: Page, words: str) -> list[str]:
    """Tap Done until the step that begins so, and return what was done."""
    done = []
    while not _now(page).startswith(words):
        done.append(_now(page))
        _done(page)
    return done


def test_it_does_the_whole_job_from_the_phone(demo: Shop, visitor: NewPage) -> None:
    page = sign_in(visitor(), demo, "jun")
    page.goto(f"{demo.address}/units/8")  # the shop's own Vesper: mains inside, nobody has named its board
    page.locator("#bench-start_work").select_option(label="Bench 3")
    press(page, "Work on it")
    assert ON_ITS_WAY.match(_now(page))
    _until(page, "Open it")
    expect(page.locator(".bench-picture svg.bp")).to_be_visible()
    press(page, "Done")
    expect(page.get_by_role("alert")).to_contain_text("not counted yet")
    assert groups_out(page) == 2
    _done(page)
    _until(page, "Identify")
    page.locator("#revision").select_option(index=0)
    press(page, "It is this one")

    before = _until(page, "Fit ")
    assert [words.split()[0] for words in before] == [
        "Unplug", "Discharge", "Trim", "Put", "Remove", "Clear", "Clean",
    ]  # fmt: skip
    fitted = _until(page, "Polarity")
    assert len(fitted) == 9
    assert fitted[-1].startswith("Fit C1: 220 µF 200 V, plus to the left")  # the tallest comes last
    page.get_by_role("button", name="Done", exact=True).click()  # not even sent without its photo
    expect(page.locator(".step-now")).to_contain_text("Polarity")
    _done(page)
    after = _until(page, "Close it")
    assert [words.split()[0] for words in after] == [
        "Solder", "Trim", "Clean", "Let", "Check", "Second", "Measure", "First", "Take",
    ]  # fmt: skip

    wrong = page.locator("input[name=held]").last
    wrong.check()  # a long one from the corners …
    page.locator("button[name=back]").first.click()  # … where a short one belongs
    expect(page.get_by_role("alert")).to_contain_text("would damage the insulation under the power board")
    assert groups_back(page) == 2
    _until(page, "Count")
    _done(page)
    expect(page.locator("#fasteners ~ form").first).to_contain_text("4 of 4 back")


def test_it_puts_a_finding_on_the_board_by_a_tap(demo: Shop, visitor: NewPage) -> None:
    page = sign_in(visitor(), demo, "jun")
    page.goto(f"{demo.address}/units/4/board")
    form = page.locator("form", has=page.locator("input[type=image]")).first
    form.locator("select[name=kind]").select_option("lifted_pad")
    form.locator("textarea[name=words]").fill("at C12")
    form.locator("select[name=repair]").select_option("now")
    with page.expect_navigation():
        form.locator("input[type=image]").click(position={"x": 500, "y": 260})
    expect(page.get_by_role("alert")).to_have_count(0)
    expect(page.locator(".bench-picture svg.bp")).to_contain_text("a lifted pad")
    page.goto(f"{demo.address}/units/4")
    press(page, "Lay it out again from the library")
    page.goto(f"{demo.address}/units/4/sheet")
    expect(page.locator("ol.whole")).to_contain_text(MENDED)


def test_it_enters_a_board_by_taps_on_its_photo(demo: Shop, visitor: NewPage) -> None:
    page = sign_in(visitor(DESK), demo, "jun")
    page.goto(f"{demo.address}/library")
    page.get_by_role("link", name="QL-B1").click()
    page.get_by_text("A photo to tap on").click()
    page.locator("#shows").select_option("top")
    page.locator("#bphoto").set_input_files(a_photo())
    press(page, "Lay it under")
    for x_mm, left_px in (("0", 100), ("160", 900)):
        page.locator("#pxtop").fill(x_mm)
        page.locator("#pytop").fill("0")
        with page.expect_navigation():
            page.locator("#tap-top input[type=image]").click(position={"x": left_px, "y": 550})
        expect(page.get_by_role("alert")).to_have_count(0)
    page.locator("#dtop").fill("C90")
    page.locator("#vtop").fill("33 µF")
    page.locator("#rtop").fill("16 V")
    page.locator("#ptop").select_option("left")
    with page.expect_navigation():
        page.locator("#tap-top input[type=image]").click(position={"x": 500, "y": 350})
    expect(page.get_by_role("alert")).to_have_count(0)
    expect(page.locator("tr", has_text="C90")).to_contain_text("80, 40")


def test_a_second_scan_of_the_bag_is_the_tap_on_done(demo: Shop, visitor: NewPage) -> None:
    page = sign_in(visitor(), demo, "jun")
    page.goto(f"{demo.address}/units/4")
    before = _now(page)
    code = page.locator("form[data-tick]").get_attribute("data-tick")
    page.wait_for_timeout(1600)  # sooner it would be the bounce of the scan that opened the page
    page.keyboard.type(f"{demo.address}/t/{code}", delay=4)
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert _now(page) != before
