"""Make the README's pictures: python docs/pictures.py starts a demo of its own, walks its pages and stops it.

Needs tests/requirements.txt and a Chromium at /usr/bin/chromium.
"""

import io
import os
import re
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, ViewportSize, sync_playwright

HERE = Path(__file__).parent
PHONE, DESK = ViewportSize(width=390, height=844), ViewportSize(width=1200, height=800)
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
PORT = 8765
ADDRESS = f"http://127.0.0.1:{PORT}"
AT_THE_BENCH = 4  # the demo's unit in the middle of its job sheet
OWN_UNIT = 8  # the shop's own, in the queue
LABEL_PX = (558, 360)


@contextmanager
def demo() -> Iterator[str]:
    """Run a demo in a folder that is thrown away; yields the customer's link that it prints."""
    with tempfile.TemporaryDirectory(prefix="wickline-pictures-") as folder:
        running = subprocess.Popen(  # noqa: S603 - this project's own program
            [sys.executable, "-u", "manage.py", "demo", "--fresh", "--port", str(PORT)],
            cwd=HERE.parent, env=os.environ | {"WICKLINE_DATA_DIR": folder}, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        try:
            link = ""
            for line in running.stdout or ():
                link = (re.search(r"http\S+/c/[0-9a-f]{40}", line) or [link])[0]
                if "Ctrl-C stops" in line:
                    break
            yield link
        finally:
            running.send_signal(signal.SIGINT)
            running.communicate(timeout=60)


def keep(page: Page, name: str) -> None:
    """Save what the page shows, in all its colours: with fewer the resistor bands would name other digits."""
    Image.open(io.BytesIO(page.screenshot())).convert("RGB").save(HERE / f"{name}.png", optimize=True)


def until(page: Page, words: str) -> None:
    """Tap Done until the step that begins so."""
    while not page.locator(".step-now").inner_text().startswith(words):
        with page.expect_navigation():
            page.get_by_role("button", name="Done", exact=True).click()


def walk(page: Page, link: str) -> None:
    """Sign in, walk the pages, keep the pictures."""
    page.goto(f"{ADDRESS}/sign-in")
    page.fill("#username", "jun")
    page.fill("#password", "a long wick burns slow")
    page.click("button.main")
    page.wait_for_url(f"{ADDRESS}/")
    keep(page, "floor")
    label = page.request.get(f"{ADDRESS}/units/{AT_THE_BENCH}/labels?as=png").body()
    Image.open(io.BytesIO(label)).resize(LABEL_PX).convert("1").save(HERE / "label.png", optimize=True)
    page.set_viewport_size(PHONE)
    page.goto(f"{ADDRESS}/units/{AT_THE_BENCH}")
    page.evaluate("scrollTo(0, document.querySelector('#tag').offsetTop - 12)")
    keep(page, "bench")
    until(page, "Fit C23")
    page.evaluate("scrollTo(0, document.querySelector('.next').offsetTop - 12)")
    keep(page, "fit")
    page.goto(f"{ADDRESS}/units/{OWN_UNIT}")
    page.locator("#bench-start_work").select_option(label="Bench 3")
    page.get_by_role("button", name="Work on it").click()
    until(page, "Open it")
    page.evaluate("scrollTo(0, document.querySelector('.bench-picture').offsetTop - 12)")
    keep(page, "case")
    page.set_viewport_size(DESK)
    page.goto(f"{ADDRESS}/plan")
    keep(page, "plan")
    page.goto(f"{ADDRESS}/library")
    page.get_by_role("link", name="QL-B2").click()
    keep(page, "board")
    page.set_viewport_size(PHONE)
    page.goto(f"{ADDRESS}/reckoner/capacitor-life#answer")
    keep(page, "reckoner")
    page.goto(link)
    keep(page, "customer")


def main() -> None:
    """Run a demo and look at it."""
    with demo() as link, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=FLAGS)
        walk(browser.new_page(viewport=DESK), link)
        browser.close()


if __name__ == "__main__":
    main()
