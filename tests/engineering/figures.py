"""What property tests of calculations share: any figure typed, and all numbers of an answer."""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from hypothesis import strategies as st

from shop.engineering.inputs import BadInput, Remark
from tests.engineering.outcome import outcome

EDGES = (0.0, -0.0, 5e-324, -5e-324, 1e-300, 1.7e308, -1.7e308, math.nan, math.inf, -math.inf)
any_float = st.one_of(st.floats(), st.sampled_from(EDGES), st.floats(0, 150))


def some_spoilt(good: Mapping[str, float]) -> st.SearchStrategy[dict[str, float]]:
    """Good inputs, of which any may be replaced by whatever can be typed: so the calculation itself is reached too."""
    return st.fixed_dictionaries({name: st.just(value) | any_float for name, value in good.items()})


def one_at_an_edge(good: Mapping[str, float]) -> Iterator[dict[str, float]]:
    """Good inputs, of which each in turn is at each edge of what a float can be."""
    return ({**good, name: edge} for name in good for edge in EDGES)


def refused_or_finite(ask: Callable[[], object]) -> bool:
    answer = outcome(ask)
    return isinstance(answer, BadInput) or all(map(math.isfinite, _numbers(answer)))


def _numbers(answer: Any) -> Iterator[float]:
    if isinstance(answer, float | int):
        yield answer
    elif isinstance(answer, Remark):
        yield from _numbers(tuple(answer.facts.values()))
    elif is_dataclass(answer):
        yield from _numbers(tuple(getattr(answer, each.name) for each in fields(answer)))
    elif isinstance(answer, tuple):
        for each in answer:
            yield from _numbers(each)
