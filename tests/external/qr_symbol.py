"""A reader of QR symbols up to version 6, written from ISO/IEC 18004 alone, so that no encoder checks itself.

It knows where codewords lie and what covers them, not how to mend errors: that is left to the decoders.
"""

import random

FORMAT_MASK = 0b101010000010010
MASKS = (
    lambda y, x: (y + x) % 2,
    lambda y, x: y % 2,
    lambda y, x: x % 3,
    lambda y, x: (y + x) % 3,
    lambda y, x: (y // 2 + x // 3) % 2,
    lambda y, x: y * x % 2 + y * x % 3,
    lambda y, x: (y * x % 2 + y * x % 3) % 2,
    lambda y, x: ((y + x) % 2 + y * x % 3) % 2,
)
Modules = list[list[bool]]


def bare(rows: Modules, quiet: int) -> Modules:
    """Return the symbol without its quiet zone."""
    return [row[quiet : len(row) - quiet] for row in rows[quiet : len(rows) - quiet]]


def format_bits(symbol: Modules) -> str:
    """Return the fifteen format bits beside the top left finder, the most significant first."""
    column = [symbol[8][x] for x in (0, 1, 2, 3, 4, 5, 7, 8)]
    return "".join("01"[bit] for bit in [*column, *(symbol[y][8] for y in (7, 5, 4, 3, 2, 1, 0))])


def level_and_mask(symbol: Modules) -> tuple[str, int]:
    """Return the error correction level and the mask that the format bits name."""
    bits = int(format_bits(symbol), 2) ^ FORMAT_MASK
    return "MLHQ"[bits >> 13], bits >> 10 & 7


def data_places(side: int) -> list[tuple[int, int]]:
    """Return (row, column) of every data module in the order of the bits: pairs of columns, up and down."""
    places = []
    upwards = True
    for right in [*range(side - 1, 6, -2), 5, 3, 1]:
        rows = range(side - 1, -1, -1) if upwards else range(side)
        places += [(y, x) for y in rows for x in (right, right - 1) if not _is_pattern(y, x, side)]
        upwards = not upwards
    return places


def _is_pattern(y: int, x: int, side: int) -> bool:
    finder = (y < 9 and (x < 9 or x >= side - 8)) or (y >= side - 8 and x < 9)
    centre = side - 7
    alignment = side > 21 and abs(y - centre) <= 2 and abs(x - centre) <= 2
    return finder or alignment or 6 in (y, x)


def codewords(symbol: Modules) -> list[int]:
    """Return the codewords as they stand in the symbol, unmasked, blocks interleaved."""
    mask = MASKS[level_and_mask(symbol)[1]]
    bits = [symbol[y][x] ^ (mask(y, x) == 0) for y, x in data_places(len(symbol))]
    return [
        sum(bit << 7 - place for place, bit in enumerate(bits[start : start + 8]))
        for start in range(0, len(bits) - 7, 8)
    ]


def damaged(symbol: Modules, which: list[int], chance: random.Random) -> Modules:
    """Return a copy in which each of these codewords is another one."""
    copy = [list(row) for row in symbol]
    places = data_places(len(symbol))
    for codeword in which:
        wrong = chance.randint(1, 255)
        for bit in range(8):
            y, x = places[8 * codeword + bit]
            copy[y][x] ^= bool(wrong >> bit & 1)
    return copy
