"""A broker and a worker inside the test's own process, so that a ring can be followed from the commit to the mail."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from celery.contrib.testing.worker import start_worker
from kombu import pools

from shop.celery import app

IN_MEMORY = "memory://"
# A broker that is away is given up at once, and not asked for seconds.
_OPTIONS = {"max_retries": 1, "interval_start": 0, "interval_step": 0.1, "interval_max": 0.1}


@contextmanager
def broker(url: str) -> Iterator[None]:
    """Let the application talk to another broker for the length of a with block."""
    kept = app.conf.broker_url, app.conf.broker_transport_options
    _switch(url, _OPTIONS)
    try:
        yield
    finally:
        _switch(*kept)


def _switch(url: str | None, options: dict[str, Any]) -> None:
    pools.reset()
    # Celery keeps the pools of the broker it knew first.
    vars(app)["_pool"] = vars(app.amqp)["_producer_pool"] = None
    app.conf.update(broker_url=url, broker_transport_options=options)


@contextmanager
def worker(threads: int = 4) -> Iterator[None]:
    """Run a worker with so many threads on a broker in memory."""
    with (
        broker(IN_MEMORY),
        start_worker(app, pool="threads", concurrency=threads, perform_ping_check=False, shutdown_timeout=20),
    ):
        yield


def wait_until(true: Callable[[], bool], seconds: float = 10) -> None:
    """Return as soon as it is true; fail when it does not become so in time."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it did not happen in time"
        time.sleep(0.02)
