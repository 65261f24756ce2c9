"""A running shop with the demo's floor, and a Chromium that looks at it."""

import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.request import urlopen

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, sync_playwright

from shop.floor.demo.stock_in_trade import PASSWORD
from shop.floor.walkthrough.private import free_port

CHROMIUM = next(
    (path for path in ("/usr/bin/chromium", "/usr/bin/chromium-browser") if Path(path).exists()), "chromium"
)
QUIET = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1440, "height": 900}


@dataclass(frozen=True)
class Shop:
    """Where the shop is, and a customer's link with a quote that waits for an answer."""

    address: str
    link: str
    folder: Path


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """Run the demo on a free port, as a newcomer would, with a data folder of its own."""
    folder = tmp_path_factory.mktemp("demo")
    port = free_port()
    environ = {name: value for name, value in os.environ.items() if not name.startswith("WICKLINE_")}
    environ |= {"WICKLINE_DATA_DIR": str(folder), "WICKLINE_ENV_FILE": os.devnull}
    command = [sys.executable, str(Path(settings.BASE_DIR) / "manage.py"), "demo", "--port", str(port)]
    running = subprocess.Popen(
        command, env=environ, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, stdin=subprocess.DEVNULL
    )
    try:
        link = ""
        for line in iter(running.stdout.readline, ""):  # type: ignore[union-attr]
            link = (re.search(r"http://\S+/c/[0-9a-f]{40}", line) or [link])[0]
            if "Ctrl-C stops everything" in line:
                break
        with urlopen(f"http://127.0.0.1:{port}/readyz", timeout=20) as answer:
            assert answer.status == 200
        yield Shop(f"http://127.0.0.1:{port}", link, folder / "demo")
    finally:
        running.terminate()
        running.communicate(timeout=40)


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    # Playwright's loop makes Django believe that everything after it is asynchronous.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def chromium(playwright: Playwright) -> Iterator[Browser]:
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)
    yield browser
    browser.close()


@pytest.fixture
def visitor(chromium: Browser) -> Iterator[Callable[..., Page]]:
    """Open a page of somebody's own; what the console complains of fails the test."""
    contexts: list[BrowserContext] = []
    complaints: list[str] = []

    def open_page(size: dict[str, int] = PHONE, **kwargs: object) -> Page:
        context = chromium.new_context(viewport=size, **kwargs)  # type: ignore[arg-type]
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert [said for said in complaints if not re.search("40[49]|422", said)] == []


def sign_in(page: Page, shop: Shop, username: str = "ottilie") -> Page:
    page.goto(f"{shop.address}/sign-in")
    page.fill("#username", username)
    page.fill("#password", PASSWORD)
    page.click("button.main")
    page.wait_for_url(f"{shop.address}/")
    return page


def assert_accessible(page: Page) -> None:
    """Let axe-core look at the page by WCAG 2.2 A and AA."""
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
    found = Axe().run(page, options=rules)
    told = [(v["id"], [node["target"] for node in v["nodes"]][:3]) for v in found.response["violations"]]
    assert told == [], page.url


def assert_no_sideways_scroll(page: Page) -> None:
    beyond = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert beyond <= 0, page.url
