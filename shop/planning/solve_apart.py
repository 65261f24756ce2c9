"""The program that plans in a process of its own, within limits of memory and time. Knows no database.

`main` takes one `Asked` on its standard input and writes an `Answer` for every better plan on its standard output,
the last one marked as such. It ends when the process that started it does.
"""

import ctypes
import pickle
import resource
import signal
import sys
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import BinaryIO

from shop.core.reasons import Reason
from shop.planning.assigning.plan_facts import Plan, ShopFacts

_DIE_WITH_PARENT = 1  # PR_SET_PDEATHSIG, prctl(2)
OUT_OF_MEMORY = 3


@dataclass(frozen=True, slots=True)
class Asked:
    """What to plan, how thoroughly (`assignment.EFFORTS`), and the limits: megabytes of memory, seconds of CPU."""

    facts: ShopFacts
    effort: str
    memory_mb: int
    cpu_seconds: int
    seed: int = 0


@dataclass(frozen=True, slots=True)
class Answer:
    """A plan, the seconds it took so far, whether it is the last, and by job why its steps lie where they lie."""

    plan: Plan
    seconds: float
    last: bool = False
    why: Mapping[str, tuple[Reason, ...]] = field(default_factory=dict)


def main() -> int:
    """Plan what standard input asks. Returns 0, or OUT_OF_MEMORY."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(_DIE_WITH_PARENT, signal.SIGTERM)
    asked: Asked = pickle.load(sys.stdin.buffer)  # noqa: S301 - from the process that started this one
    _limit(resource.RLIMIT_AS, asked.memory_mb << 20)
    _limit(resource.RLIMIT_CPU, asked.cpu_seconds)
    try:
        _plan(asked, sys.stdout.buffer)
    except MemoryError:
        return OUT_OF_MEMORY
    return 0


def _limit(what: int, most: int) -> None:
    hard = resource.getrlimit(what)[1]
    resource.setrlimit(what, (most if hard == resource.RLIM_INFINITY else min(most, hard), hard))


def _plan(asked: Asked, out: BinaryIO) -> None:
    from shop.planning.assigning.assignment import EFFORTS, assign
    from shop.planning.assigning.explaining import explain

    began = time.monotonic()

    def send(plan: Plan, *, last: bool = False) -> None:
        """Hand a plan out with its reasons, since a newer wish may make any of them the last."""
        why = {job.key: tuple(explain(asked.facts, plan, job.key)) for job in asked.facts.jobs}
        pickle.dump(Answer(plan, time.monotonic() - began, last, why), out)
        out.flush()

    send(assign(asked.facts, effort=EFFORTS[asked.effort], seed=asked.seed, on_better=send), last=True)
