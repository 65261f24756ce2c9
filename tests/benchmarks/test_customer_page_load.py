"""The customer's page at 50 requests a second: its 95th percentile stays below 5 times an empty Django view's.

Both are asked of the same server in the same run, one after the other, at the same rate; the clock starts when a
request was due and not when it could be sent, so that waiting counts.
"""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing, suppress
from http.client import HTTPConnection
from pathlib import Path
from statistics import quantiles
from threading import local

import pytest
from django.conf import settings

from shop.floor.walkthrough.private import free_port
from tests.browser.conftest import Shop, demo  # noqa: F401 - fixture

pytestmark = pytest.mark.benchmark
RATE, SECONDS, WARM = 50, 20, 100


@pytest.fixture
def port(demo: Shop) -> Iterator[int]:  # noqa: F811
    """Serve the demo's data a second time, with an empty view beside the shop's own."""
    at = free_port()
    environ = {name: value for name, value in os.environ.items() if not name.startswith("WICKLINE_")}
    environ |= {
        "DJANGO_SETTINGS_MODULE": "tests.benchmarks.with_empty_view", "WICKLINE_DATA_DIR": str(demo.folder),
        "WICKLINE_ENV_FILE": os.devnull,
    }  # fmt: skip
    gunicorn = [sys.executable, "-m", "gunicorn", "shop.wsgi", "--bind", f"127.0.0.1:{at}", "--workers", "2"]
    running = subprocess.Popen([*gunicorn, "--threads", "8"], env=environ, cwd=Path(settings.BASE_DIR))
    try:
        _wait_for(at)
        yield at
    finally:
        running.terminate()
        running.wait(timeout=30)


def _wait_for(port: int) -> None:
    for _ in range(200):
        with suppress(OSError), closing(HTTPConnection("127.0.0.1", port, timeout=5)) as connection:
            if _ask(connection, "/empty", "") == 200:
                return
        time.sleep(0.1)
    raise AssertionError("the server did not start")


def _ask(connection: HTTPConnection, path: str, cookie: str) -> int:
    connection.request("GET", path, headers={"Cookie": cookie, "Accept-Encoding": "gzip"})
    answer = connection.getresponse()
    answer.read()
    return answer.status


def _p95_ms(port: int, path: str, cookie: str = "") -> float:
    """Ask at the steady rate and return the 95th percentile of the answers' times, in milliseconds."""
    kept = local()
    opened = ExitStack()

    def mine() -> HTTPConnection:
        if not hasattr(kept, "connection"):
            kept.connection = opened.enter_context(closing(HTTPConnection("127.0.0.1", port, timeout=30)))
        connection: HTTPConnection = kept.connection
        return connection

    def one(due: float) -> float:
        time.sleep(max(0.0, due - time.perf_counter()))
        assert _ask(mine(), path, cookie) == 200
        return (time.perf_counter() - due) * 1000

    with opened, ThreadPoolExecutor(16) as pool:
        began = time.perf_counter() + 0.2
        took = list(pool.map(one, (began + number / RATE for number in range(RATE * SECONDS))))
    return quantiles(took[WARM:], n=20)[-1]


def test_the_page_stays_within_five_times_an_empty_view(demo: Shop, port: int) -> None:  # noqa: F811
    cookie = f"{settings.CUSTOMER_COOKIE_NAME}={demo.link.rsplit('/', 1)[-1]}"
    empty = _p95_ms(port, "/empty")
    page = _p95_ms(port, "/c/", cookie)
    print(
        f"\ncustomer's page at {RATE} requests a second, 95th percentile: {page:.1f} ms; an empty view: "
        f"{empty:.1f} ms; ratio {page / empty:.1f}"
    )
    assert page < 5 * empty
