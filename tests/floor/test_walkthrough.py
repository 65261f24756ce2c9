"""The walkthrough: one unit through a real shop over HTTP, as a command of its own."""

import json
import subprocess
import sys
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import pytest
from django.conf import settings

MANAGE = [sys.executable, str(settings.BASE_DIR / "manage.py"), "walkthrough"]


def walk(*arguments: str) -> tuple[int, dict[str, Any]]:
    ended = subprocess.run([*MANAGE, "--json", *arguments], capture_output=True, text=True, timeout=400, check=False)
    return ended.returncode, json.loads(ended.stdout)


class NotTheShop(BaseHTTPRequestHandler):
    """Answers everything with a page that has the announcement's form and no code in it."""

    def do_GET(self) -> None:
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.end_headers()
        self.wfile.write(b"<h1>A baker's</h1><form method=post></form>")

    do_POST = do_GET

    def log_message(self, *_args: Any) -> None:
        """Keep quiet."""


@pytest.fixture
def another_house() -> Iterator[str]:
    with ThreadingHTTPServer(("127.0.0.1", 0), NotTheShop) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}"
        server.shutdown()
        thread.join()


def test_it_takes_one_unit_through_the_whole_job() -> None:
    code, said = walk()
    assert (code, said["ok"], said["wrong"]) == (0, True, None)
    assert len(said["steps"]) == 35
    assert said["steps"][0]["step"] == "announce"
    assert {"label_reads_back", "fails", "safe_repeats", "trail_holds"} <= {step["step"] for step in said["steps"]}


def test_it_ends_with_status_1_at_the_first_thing_that_is_not_so(another_house: str) -> None:
    code, said = walk("--url", another_house)
    assert (code, said["ok"], said["steps"]) == (1, False, [])
    assert said["wrong"]["step"] == "announce"
    assert said["wrong"]["said"].startswith("expected a code for the parcel; found 200 at http://127.0.0.1:")
    assert said["wrong"]["said"].endswith("A baker's")


def test_it_says_so_when_no_shop_answers() -> None:
    code, said = walk("--url", "http://127.0.0.1:9")
    assert (code, said["steps"], said["wrong"]["step"]) == (1, [], "announce")


def test_it_words_what_is_not_so_for_people(another_house: str) -> None:
    ended = subprocess.run(
        [*MANAGE, "--url", another_house], capture_output=True, text=True, timeout=60, check=False
    )  # fmt: skip
    assert (ended.returncode, ended.stdout) == (1, "")
    assert ended.stderr.startswith("NOT announce: expected a code for the parcel; found 200 at ")
