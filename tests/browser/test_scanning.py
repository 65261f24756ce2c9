"""A label in front of the camera, and a USB scanner that types wherever the focus is."""

import io
import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Browser, Page, Playwright, expect

from tests.browser.conftest import NewPage, sign_in
from tests.browser.shop import CHROMIUM, DESK, FLAGS, Running

pytestmark = pytest.mark.browser

SIZE = (640, 480)
UNIT = 4


def label_of(page: Page, number: int) -> Image.Image:
    return Image.open(io.BytesIO(page.request.get(f"/units/{number}/labels?as=png").body())).convert("L")


def film_of(label: Image.Image, file: Path) -> None:
    """Write a film of some frames in which the label lies on a grey table, as uncompressed 4:2:0 (YUV4MPEG2)."""
    table = Image.new("L", SIZE, 150)
    shown = label.resize((560, round(560 * label.height / label.width)))
    table.paste(shown, ((SIZE[0] - shown.width) // 2, (SIZE[1] - shown.height) // 2))
    light = np.asarray(table, dtype=np.uint8).tobytes()
    colour = np.full(SIZE[0] * SIZE[1] // 2, 128, dtype=np.uint8).tobytes()
    with file.open("wb") as film:
        film.write(f"YUV4MPEG2 W{SIZE[0]} H{SIZE[1]} F10:1 Ip A1:1 C420\n".encode())
        for _ in range(10):
            film.write(b"FRAME\n" + light + colour)


@pytest.fixture
def with_camera(playwright_itself: Playwright, chromium: Browser, open_shop: Running, tmp_path: Path) -> Iterator[Page]:
    """A signed-in page of a browser whose camera looks at a unit's label."""
    looker = chromium.new_context(base_url=open_shop.address)
    page = looker.new_page()
    sign_in(page)
    film_of(label_of(page, UNIT), tmp_path / "label.y4m")
    looker.close()
    camera = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]
    flags = [*FLAGS, *camera, f"--use-file-for-fake-video-capture={tmp_path / 'label.y4m'}"]
    browser = playwright_itself.chromium.launch(executable_path=CHROMIUM, args=flags)
    context = browser.new_context(base_url=open_shop.address, permissions=["camera"])
    page = context.new_page()
    sign_in(page)
    yield page
    browser.close()


def test_a_label_before_the_camera_leads_to_its_unit(with_camera: Page) -> None:
    with_camera.goto("/scan")
    with_camera.get_by_role("button", name="Use this page's camera").click()
    with_camera.wait_for_url(re.compile(rf"/units/{UNIT}$"), timeout=60_000)


def test_a_photo_of_the_label_is_sent_at_once(new_page: NewPage) -> None:
    page = new_page(DESK)
    sign_in(page)
    label = page.request.get(f"/units/{UNIT}/labels?as=png").body()
    page.goto("/scan")
    photo = {"name": "label.png", "mimeType": "image/png", "buffer": label}
    page.get_by_label("Take or choose a photo of the label").set_input_files(photo)  # type: ignore[arg-type]
    page.wait_for_url(re.compile(rf"/units/{UNIT}$"))


@pytest.mark.parametrize("where", ["/notices", "/units/6", "/counter"])
def test_a_scanner_types_with_the_focus_nowhere(new_page: NewPage, where: str) -> None:
    page = new_page(DESK)
    sign_in(page)
    page.goto(f"/units/{UNIT}")
    code = page.locator("#tag .big").inner_text()
    page.goto(where)
    page.evaluate("document.activeElement.blur()")
    page.keyboard.type(code.replace("-", ""))
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(rf"/units/{UNIT}$"))


def test_slow_keys_are_no_scan(new_page: NewPage) -> None:
    page = new_page(DESK)
    sign_in(page)
    page.goto("/notices")
    page.keyboard.type("ABCDEFGH", delay=120)
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile("/notices$"))
    expect(page.locator("#slip-text")).to_have_value("")
