"""How many parts a text message takes. Pure: no Django, no tables.

Source: 3GPP TS 23.038 (alphabets: 6.2.1 the GSM 7-bit default alphabet, 6.2.1.1 its extension, 6.2.3 UCS2) and 3GPP
TS 23.040, 9.2.3.24 (joined messages: a header of six octets in each part). A part has 140 octets: 160 septets or 70
UCS2 units alone; less the header, 153 or 67 in each of several. Figures and alphabet are from memory of these texts;
`tests/external/test_text_message_length.py` holds them against the arithmetic of 140 octets.
"""

from collections.abc import Iterable
from dataclasses import dataclass

BASIC = (
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞ\x1bÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
# Written as an escape and a second septet.
EXTENDED = "\f^{}\\[~]|€"
_ONE_SEPTET = frozenset(BASIC) - {"\x1b"}
_TWO_SEPTETS = frozenset(EXTENDED)
_ALONE = {"GSM 7-bit": 160, "UCS-2": 70}
_JOINED = {"GSM 7-bit": 153, "UCS-2": 67}
# Signs of print that would double a message's cost and say the same as a plain one.
_PLAIN = str.maketrans({
    "‘": "'", "’": "'", "‚": "'", "“": '"', "”": '"', "„": '"', "–": "-", "—": "-", "−": "-", "‑": "-", "…": "...",
    "\u00a0": " ", "\u202f": " ", "\u2009": " ", "\t": " ",
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Length:
    """How long a text message is: units of the encoding (septets or 16-bit units), parts, and units left in the last.

    Parts are what a network bills.
    """

    encoding: str
    units: int
    parts: int
    left: int


def plain(text: str) -> str:
    """Return text with signs of print (curly quotes, dashes, narrow blanks) written as a typewriter would."""
    return text.translate(_PLAIN)


def measure(text: str) -> Length:
    """Return how long text is as a text message. An empty text takes one part.

    An escaped character and a character of two 16-bit units stay in one part, as phones join parts blindly.
    """
    if all(character in _ONE_SEPTET or character in _TWO_SEPTETS for character in text):
        return _packed("GSM 7-bit", [2 if character in _TWO_SEPTETS else 1 for character in text])
    return _packed("UCS-2", [2 if ord(character) > 0xFFFF else 1 for character in text])


def _packed(encoding: str, widths: Iterable[int]) -> Length:
    widths = list(widths)
    units = sum(widths)
    if units <= _ALONE[encoding]:
        return Length(encoding, units, 1, _ALONE[encoding] - units)
    room = _JOINED[encoding]
    parts, used = 1, 0
    for width in widths:
        if used + width > room:
            parts, used = parts + 1, 0
        used += width
    return Length(encoding, units, parts, room - used)
