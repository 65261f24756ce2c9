"""Reading several numbers from one line of text."""

import re

from shop.engineering.inputs import BadInput


def numbers(text: str, name: str, scale: float = 1.0) -> list[float]:
    """Return numbers that are parted by blanks, plus signs or semicolons, times scale. Raises BadInput."""
    try:
        found = [
            float(each.replace(",", ".").replace("\u2212", "-")) for each in re.split(r"[\s+;]+", text.strip()) if each
        ]
    except ValueError:
        raise BadInput("unreadable", name, given=text[:60], like=("47 22",)) from None
    return [each * scale for each in found]
