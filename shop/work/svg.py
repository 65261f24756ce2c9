"""SVG as text: elements with escaped attributes, and figures that are no longer than they need to be. Pure."""

from html import escape
from unicodedata import category


def safe(text: str) -> str:
    """Return a text as XML may hold it: escaped, without the control characters that no document may have."""
    return escape("".join(mark for mark in text if category(mark) not in {"Cc", "Cs"} and mark not in "\ufffe\uffff"))


def element(tag: str, kind: str = "", inner: str = "", **facts: str | float) -> str:
    """Return an element of a class; facts are its attributes (escaped; lengths to 0.01 mm), inner is markup."""
    named = {"class": kind} | facts if kind else facts
    attributes = "".join(
        f' {name.replace("_", "-")}="{safe(fact) if isinstance(fact, str) else figure(fact, 2)}"'
        for name, fact in named.items()
    )
    return f"<{tag}{attributes}>{inner}</{tag}>"


def figure(number: float, digits: int = 1) -> str:
    """Return a number as text, rounded to so many digits behind the point, without noughts at its end."""
    return f"{round(number, digits) + 0.0:.9g}"
