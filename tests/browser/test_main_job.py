"""The main job with thumbs and taps: a customer approves, a technician ticks, scans and cameras lead to the unit."""

import io
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page, Playwright, expect

from tests.browser.conftest import CHROMIUM, DESK, PHONE, QUIET, Shop, sign_in

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desktop"])
def test_a_unit_goes_from_the_counter_to_the_bench(
    demo: Shop, visitor: Callable[..., Page], size: dict[str, int]
) -> None:
    page = sign_in(visitor(size), demo)
    page.goto(f"{demo.address}/counter")
    page.fill("#name", "Nguyễn Thị Hoa")
    page.fill("#email", f"hoa{size['width']}@post.example")
    page.get_by_role("button", name="Write down, then the unit").click()
    page.select_option("#model", label="Quillon Lantern")
    page.fill("#complaint", "Only a grey picture 🙁")
    page.get_by_label("Recap").check()
    page.get_by_label("a diagnosis fee", exact=False).check()
    for terms in page.locator("input[name^=consent_]").all():
        terms.check()
    page.get_by_role("button", name="Write it up").click()
    page.wait_for_url("**/units/*")
    page.get_by_role("button", name="Take it in").click()
    expect(page.get_by_text("Waits its turn")).to_be_visible()
    page.locator("#bench-start_diagnosis").select_option(label="Bench 3")
    page.get_by_role("button", name="Look at it").click()
    expect(page.get_by_text("On Bench 3 for diagnosis")).to_be_visible()
    step = page.locator(".step-now").inner_text()
    page.get_by_role("button", name="Done", exact=True).click()
    expect(page.locator(".step-now")).not_to_have_text(step)
    page.locator("summary", has_text="Park it").click()
    page.locator("#words-park").fill("The bench is needed")
    page.get_by_role("button", name="Park it").click()
    expect(page.get_by_role("alert")).to_have_count(0)
    expect(page.get_by_text("Waits its turn")).to_be_visible()


def test_a_customer_approves_with_a_thumb_and_the_page_follows_without_reloading(
    demo: Shop, visitor: Callable[..., Page]
) -> None:
    page = visitor(PHONE)
    page.goto(demo.link)
    total = page.locator("[data-total]")
    before = total.inner_text()
    option = page.locator("input[name=taken]").first
    option.check()
    expect(total).not_to_have_text(before)
    for term in page.locator("input[name=agreed]").all():
        term.check()
    page.get_by_role("button", name="Yes, please do it").dblclick()
    expect(page.get_by_text("Your answer is recorded")).to_be_visible()
    expect(page.get_by_text("in the queue for a bench")).to_be_visible()

    staff = sign_in(visitor(DESK), demo)
    staff.goto(f"{demo.address}/units/6")
    assert staff.inner_text("main").count("was approved") == 1
    work = staff.locator("form[action$=start_work]")
    work.locator("select").select_option(label="Bench 2")
    work.get_by_role("button").click()
    expect(page.get_by_text("On a bench, being worked on.")).to_be_visible(timeout=25_000)


def test_without_script_the_page_shows_and_takes_everything(demo: Shop, visitor: Callable[..., Page]) -> None:
    page = visitor(PHONE, java_script_enabled=False)
    page.goto(demo.link)
    assert "What does it cost?" in page.inner_text("main")


def test_a_scanner_types_into_the_page_wherever_the_focus_is(demo: Shop, visitor: Callable[..., Page]) -> None:
    page = sign_in(visitor(DESK), demo)
    page.goto(f"{demo.address}/units/4")
    code = page.locator(".big").first.inner_text()
    page.goto(f"{demo.address}/notices")
    page.locator("body").click(position={"x": 5, "y": 500})
    page.keyboard.type(code, delay=5)
    page.keyboard.press("Enter")
    page.wait_for_url("**/units/4")


def test_a_mistyped_code_is_caught(demo: Shop, visitor: Callable[..., Page]) -> None:
    page = sign_in(visitor(PHONE), demo)
    page.goto(f"{demo.address}/units/4")
    code = page.locator(".big").first.inner_text()
    wrong = ("B" if code[0] != "B" else "C") + code[1:]
    page.fill("#slip-text", wrong)
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("check character does not match")


def camera_film(label: bytes, path: Path) -> None:
    """Write a film in which the label lies on a grey table, as an uncompressed 4:2:0 stream (YUV4MPEG2)."""
    table = Image.new("L", (1280, 720), 150)
    tag = Image.open(io.BytesIO(label)).convert("L").resize((700, 452))
    table.paste(tag, (290, 130))
    luma = np.asarray(table, dtype=np.uint8)
    chroma = np.full((360, 640), 128, dtype=np.uint8)
    frame = b"FRAME\n" + luma.tobytes() + chroma.tobytes() * 2
    path.write_bytes(b"YUV4MPEG2 W1280 H720 F10:1 Ip A1:1 C420jpeg\n" + frame * 10)


def test_the_pages_own_camera_reads_a_label(
    demo: Shop, visitor: Callable[..., Page], playwright: Playwright, tmp_path: Path
) -> None:
    staff = sign_in(visitor(DESK), demo)
    label = staff.request.get(f"{demo.address}/units/5/labels?as=png").body()
    film = tmp_path / "label.y4m"
    camera_film(label, film)
    fake = [
        "--use-fake-device-for-media-stream",
        "--use-fake-ui-for-media-stream",
        f"--use-file-for-fake-video-capture={film}",
    ]
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=[*QUIET, *fake])
    try:
        page = sign_in(browser.new_page(), demo)
        page.goto(f"{demo.address}/scan")
        page.get_by_role("button", name="Use this page's camera").click()
        page.wait_for_url("**/units/5", timeout=30_000)
    finally:
        browser.close()
