"""Make the README's pictures from the demo: python docs/pictures.py ADDRESS CUSTOMER_LINK, while the demo runs.

Both are what `manage.py demo --fresh` prints. Needs tests/requirements.txt and a Chromium at /usr/bin/chromium.
"""

import io
import sys
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

HERE = Path(__file__).parent
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1200, "height": 760}
AT_THE_BENCH = 4  # the demo's unit in the middle of its job sheet


def keep(page: Page, name: str) -> None:
    """Save what the page shows as a picture of few colours, which keeps it small."""
    shown = Image.open(io.BytesIO(page.screenshot()))
    shown.convert("RGB").quantize(128).save(HERE / f"{name}.png", optimize=True)


def main(address: str, link: str) -> None:
    """Sign in, walk the pages, keep the pictures."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path="/usr/bin/chromium", args=["--no-sandbox", "--disable-background-networking"]
        )
        page = browser.new_page(viewport=DESK)
        page.goto(f"{address}/sign-in")
        page.fill("#username", "jun")
        page.fill("#password", "a long wick burns slow")
        page.click("button.main")
        page.wait_for_url(f"{address}/")
        keep(page, "floor")
        label = page.request.get(f"{address}/units/{AT_THE_BENCH}/labels?as=png").body()
        Image.open(io.BytesIO(label)).resize((558, 360)).convert("1").save(HERE / "label.png", optimize=True)
        page.set_viewport_size(PHONE)
        page.goto(f"{address}/units/{AT_THE_BENCH}")
        keep(page, "bench")
        page.goto(link)
        keep(page, "customer")
        browser.close()


if __name__ == "__main__":
    main(*sys.argv[1:3])
