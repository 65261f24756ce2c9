"""What a scanner set to a US keyboard types into a computer that is set to another one, and how to undo it.

Keys, not letters, come over the cable. Facts: the positions of keys on the US layout and on those named below (national
layouts as published by their standard bodies: DIN 2137, SIS 66 22 41, AFNOR/AZERTY, UNE, UNI). Only addresses are
mended: "http://" tells which layout is at work, a bare code does not.
"""

import re

# Where a hyphen stands on the slash key, the colon's key gives a letter of the land: German, Nordic, Spanish,
# Portuguese, Italian, Swiss.
_DASHES = re.compile(r"https?[:;öäøæñçéÖÄØÆÑÇÉ]--", re.IGNORECASE)
_AZERTY = re.compile(r"https?m!!", re.IGNORECASE)
_FROM_AZERTY = str.maketrans(
    "&é\"'(-è_çà" + "QqAaWwZz" + "M?,:!)",
    "1234567890" + "AaQqZzWw" + ":Mm./-",
)
_SWAPPED = str.maketrans("YyZz", "ZzYy")


def mend(address: str) -> tuple[str, ...]:
    """Return the readings of an address that a keyboard layout may have garbled, the likeliest first.

    An address that is not garbled comes back alone and unchanged. On a layout with hyphens for slashes nobody can tell
    whether Y and Z are swapped as well (German and Swiss) or not (Nordic, Spanish, Italian): both readings are given.
    """
    if _AZERTY.match(address):
        return (address.translate(_FROM_AZERTY),)
    if _DASHES.match(address):
        plain = "http://" + _DASHES.sub("", address, count=1).replace("-", "/")
        swapped = plain.translate(_SWAPPED)
        return (plain,) if swapped == plain else (plain, swapped)
    return (address,)
