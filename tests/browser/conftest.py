"""Fixtures of the browser tests: one shop for the session, a Chromium, and pages whose complaints are kept."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect, sync_playwright

from tests.browser.shop import CHROMIUM, DESK, FLAGS, PASSWORD, PHONE, Running, running_demo

# The machine may be busy with other tests.
expect.set_options(timeout=20_000)

NewPage = Callable[..., Page]


@pytest.fixture(scope="session")
def open_shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    import os, re  # DEV

    if "LOOK_AT" in os.environ:  # DEV
        yield Running(
            "http://127.0.0.1:8123",
            re.search(r"http\S+/c/[0-9a-f]{40}", Path("/tmp/wl-look.log").read_text()).group(0),
            Path("/tmp/wl-look/demo"),
        )  # DEV
        return  # DEV
    with running_demo(tmp_path_factory.mktemp("browser")) as running:
        yield running


@pytest.fixture(scope="session")
def playwright_itself() -> Iterator[Playwright]:
    with sync_playwright() as itself:
        yield itself


@pytest.fixture(scope="session")
def chromium(playwright_itself: Playwright) -> Iterator[Browser]:
    browser = playwright_itself.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
    yield browser
    browser.close()


@pytest.fixture
def new_page(open_shop: Running, chromium: Browser) -> Iterator[NewPage]:
    """Open a page in a browser of its own; at the end nobody may have complained: no script error, no broken policy.

    A refusal that a test asks for (4xx) is written to the console by Chromium itself and is no complaint.
    """
    contexts: list[BrowserContext] = []
    complaints: list[str] = []

    def make(viewport: dict[str, int] = PHONE, **how: Any) -> Page:
        context = chromium.new_context(base_url=open_shop.address, viewport=viewport, **how)  # type: ignore[arg-type]
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(f"{page.url}: {error}"))
        page.on(
            "console",
            lambda said: (
                complaints.append(f"{page.url}: {said.text}")
                if said.type in ("error", "warning") and "the server responded with a status of 4" not in said.text
                else None
            ),
        )
        return page

    yield make
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.fixture(params=[PHONE, DESK], ids=["390x844", "1440x900"])
def viewport(request: pytest.FixtureRequest) -> dict[str, int]:
    return dict(request.param)


def sign_in(page: Page, name: str = "ottilie") -> None:
    page.goto("/sign-in")
    page.get_by_label("Name for signing in").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    with page.expect_navigation():
        page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", name="Floor")).to_be_visible()


@pytest.fixture
def staff(new_page: NewPage, viewport: dict[str, int]) -> Page:
    page = new_page(viewport)
    sign_in(page)
    return page
