"""Doing the same thing many times at the same moment, each time on a database connection of its own."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import TypeVar

from django.db import connection

T = TypeVar("T")


def together(times: int, act: Callable[[], T]) -> list[T | Exception]:
    """Call act so many times at once; return what each call returned or raised."""
    barrier = Barrier(times)

    def one(_number: int) -> T | Exception:
        try:
            barrier.wait(timeout=30)
            return act()
        except Exception as raised:
            return raised
        finally:
            connection.close()

    with ThreadPoolExecutor(times) as pool:
        return list(pool.map(one, range(times)))
