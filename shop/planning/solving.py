"""Planning in a process of its own: started, listened to, and ended when its answer is no longer wanted."""

import os
import pickle
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from queue import Empty, Queue

from django.conf import settings

from shop.core.reasons import Reason
from shop.planning.assigning.plan_facts import ShopFacts
from shop.planning.solve_apart import OUT_OF_MEMORY, Answer, Asked

# How thoroughly, and how long at most by the wall clock; the effort's own limits come first. Where nothing was compiled
# yet, that takes part of it.
QUICK, USUAL, THOROUGH = "quick", "usual", "thorough"
SECONDS = {QUICK: 90, USUAL: 180, THOROUGH: 300}
# It searches in two threads.
CPU_PER_SECOND = 2
_PROGRAM = "import sys; from shop.planning.solve_apart import main; sys.exit(main())"
_LISTEN_S = 0.25
_GRACE_S = 5.0


class Broken(Exception):
    """The planner gave no last answer; reason says why."""

    def __init__(self, reason: Reason) -> None:
        super().__init__(reason.code)
        self.reason = reason


class Stopped(Exception):
    """The answer is no longer wanted."""


@dataclass(slots=True)
class _Listening:
    """A running planner and what it has said so far; None in the queue is its end."""

    process: "subprocess.Popen[bytes]"
    heard: "Queue[Answer | None]"


def solve(
    facts: ShopFacts,
    *,
    effort: str,
    seed: int = 0,
    on_better: Callable[[Answer], None] = lambda _answer: None,
    should_stop: Callable[[], bool] = lambda: False,
) -> Answer:
    """Plan in a process of its own and return its last answer, calling on_better for each one before it.

    should_stop is asked between answers, but not before the first one: a shop whose facts change all the time gets a
    plan too. Raises Stopped, or Broken with `planner_time`, `planner_memory` or `planner_broke`.
    """
    deadline = time.monotonic() + SECONDS[effort]
    with _started(Asked(facts, effort, settings.PLANNING_MEMORY_MB, CPU_PER_SECOND * SECONDS[effort], seed)) as running:
        first = True
        while True:
            answer = _next(running, deadline)
            if answer is None:
                if not first and should_stop():
                    raise Stopped
                continue
            if answer.last:
                return answer
            on_better(answer)
            first = False
            if should_stop():
                raise Stopped


def _next(running: _Listening, deadline: float) -> Answer | None:
    """Return the next answer, or None when there is none yet. Raises Broken."""
    if time.monotonic() > deadline:
        raise Broken(Reason("planner_time"))
    try:
        answer = running.heard.get(timeout=_LISTEN_S)
    except Empty:
        return None
    if answer is None:
        code = running.process.wait(timeout=_GRACE_S)
        raise Broken(Reason("planner_memory") if code == OUT_OF_MEMORY else Reason("planner_broke", {"code": code}))
    return answer


@contextmanager
def _started(asked: Asked) -> Iterator[_Listening]:
    """Start the planner, and end it and nothing else however this block ends."""
    around = {
        "OPENBLAS_NUM_THREADS": "1",
        "OMP_NUM_THREADS": "1",
    }
    if not os.access(settings.BASE_DIR, os.W_OK):
        around["WICKLINE_COMPILED_DIR"] = str(settings.DATA_DIR / "compiled")
    process = subprocess.Popen(  # noqa: S603 - our own program
        [sys.executable, "-c", _PROGRAM],
        cwd=settings.BASE_DIR,
        env={**os.environ, **around},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    listening = _Listening(process, Queue())
    listener = threading.Thread(target=_listen, args=[listening, asked], daemon=True)
    listener.start()
    try:
        yield listening
    finally:
        if process.poll() is None:
            process.terminate()
        try:
            process.wait(timeout=_GRACE_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        listener.join(timeout=_GRACE_S)
        for pipe in (process.stdin, process.stdout):
            if pipe:
                pipe.close()


def _listen(listening: _Listening, asked: Asked) -> None:
    """Hand the question over and put every answer into the queue, then the end."""
    process = listening.process
    assert process.stdin is not None
    assert process.stdout is not None
    try:
        pickle.dump(asked, process.stdin)
        process.stdin.close()
        while True:
            listening.heard.put(pickle.load(process.stdout))  # noqa: S301 - from the process started above
    except (EOFError, OSError, pickle.UnpicklingError, ValueError):
        listening.heard.put(None)
