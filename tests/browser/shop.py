"""A demo that really runs, with its own data folder, and the browsers that look at it."""

import email
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from email import policy
from pathlib import Path

from tests.core.running import OwnShop, free_port, wait_until

PASSWORD = "a long wick burns slow"
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1440, "height": 900}
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
CHROMIUM = "/usr/bin/chromium"


class Running:
    """One running shop: where it is, a customer's link that it printed, and where its messages lie."""

    def __init__(self, address: str, link: str, folder: Path) -> None:
        self.address, self.link, self.folder = address, link, folder

    def message_to(self, address: str, about: str) -> str:
        """Wait for a delivered message to somebody whose subject has these words, and return its text."""
        found: list[str] = []

        def look() -> bool:
            for file in sorted((self.folder / "mail").glob("*")):
                message = email.message_from_bytes(file.read_bytes(), policy=policy.default)
                if address in str(message["To"]) and about in str(message["Subject"]).lower():
                    body = message.get_body(("plain",))
                    found.append(body.get_content() if body else "")
            return bool(found)

        wait_until(look, what=f"a message to {address} about {about}")
        return found[-1]

    def link_of(self, address: str) -> str:
        """Return the private link in the message that asks somebody for an answer."""
        return re.findall(r"http\S+/c/[0-9a-f]{40}", self.message_to(address, "quote"))[0]


@contextmanager
def running_demo(folder: Path) -> Iterator[Running]:
    """Start the demo on a free port and stop it by its process id."""
    port = free_port()
    shop, log = OwnShop(folder), folder / "demo.log"
    process = shop.start(sys.executable, "-u", "manage.py", "demo", "--fresh", "--port", str(port), log=log)
    try:
        wait_until(
            lambda: "Ctrl-C stops" in log.read_text() or process.poll() is not None,
            what="the demo is open",
            seconds=240,
        )
        link = re.search(r"http\S+/c/[0-9a-f]{40}", log.read_text())
        assert link, log.read_text()
        yield Running(f"http://127.0.0.1:{port}", link[0], folder / "demo")
    finally:
        process.send_signal(signal.SIGINT)
        try:
            process.wait(30)
        except subprocess.TimeoutExpired:
            process.kill()
