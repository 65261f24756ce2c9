"""Doing things at the same moment, each on a database connection of its own."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier, Thread
from typing import TypeVar

from django.db import connection

T = TypeVar("T")
WAIT_S = 30


def together(times: int, act: Callable[[], T]) -> list[T | Exception]:
    """Call act so many times at once; return what each call returned or raised."""
    barrier = Barrier(times)

    def one(_number: int) -> T | Exception:
        try:
            barrier.wait(WAIT_S)
            return act()
        except Exception as raised:
            return raised
        finally:
            connection.close()

    with ThreadPoolExecutor(times) as pool:
        return list(pool.map(one, range(times)))


def side_by_side(*acts: Callable[[], object]) -> None:
    """Run each act in a thread of its own, and raise what one of them raised."""
    errors: list[BaseException] = []

    def run(act: Callable[[], object]) -> None:
        try:
            act()
        except BaseException as error:
            errors.append(error)
        finally:
            connection.close()

    threads = [Thread(target=run, args=(act,)) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(WAIT_S)
    if errors:
        raise errors[0]
