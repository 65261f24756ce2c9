"""Contents that were frozen in an earlier form, read as today's. What is stored, and its hash, stay as they are."""

import json
from typing import Any

_SHARES = {"discount_millipercent": 0, "percent_millipercent": 0}
_WORDS = {"one_of": "", "may_skip": False, "needs": "", "why": "", "source": "shop", "donor": ""}
_ELECTIONS = {
    "tax_reduced_millipercent": 0, "prices_include_tax": False, "tax_basis": "document", "tax_rounding": "half_up",
    "why_changed": "", "deposit": {"percent": 0, "from_minor": 0},
}  # fmt: skip


def read_back(text: str) -> dict[str, Any]:
    """Return what a kept content says, in today's form (see `content.FORM`)."""
    content: dict[str, Any] = json.loads(text)
    return today(content)


def today(content: dict[str, Any]) -> dict[str, Any]:
    """Return a content in today's form.

    In the first form the terms were one text, a line was taxed or not, and it was known by its id alone.
    """
    if content["form"] > 1:
        return content
    terms = [{"code": "work", "words": content["terms"], "asks": False, "options": []}]
    return _ELECTIONS | content | {"terms": terms, "lines": [_line(line) for line in content["lines"]]}


def _line(line: dict[str, Any]) -> dict[str, Any]:
    tax_class = "standard" if line["taxed"] else "none"
    return _SHARES | _WORDS | line | {"key": line["id"], "tax_class": tax_class}
