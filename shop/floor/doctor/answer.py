"""What a check says."""

from enum import StrEnum


class State(StrEnum):
    """How a check came out."""

    OK = "ok"
    ADVICE = "advice"
    MEND = "mend"
    UNDECIDED = "undecided"


Answer = tuple[State, str]
