"""Reading what a scanner, a camera or a person gives: pure text in, a kind and a code out; and QR codes in pictures.

An address counts by its path alone, so that labels printed before the shop's address changed still work.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import BinaryIO
from urllib.parse import unquote

import zxingcpp
from PIL import Image, ImageOps

from shop.core.photos import open_upright
from shop.core.reasons import Reason, Refused
from shop.core.tagcode import ALPHABET, LENGTH, read_typed, tidy
from shop.units.keyboards import mend


class Kind(StrEnum):
    """What a scan names. A bare code does not say whether it is a bag's, a place's or a badge's."""

    BAG = "bag"
    PLACE = "place"
    BADGE = "badge"
    CODE = "code"
    NUMBER = "number"


LETTERS = {Kind.BAG: "t", Kind.PLACE: "p", Kind.BADGE: "b"}
_KINDS = {letter: kind for kind, letter in LETTERS.items()}


@dataclass(frozen=True, slots=True)
class Scan:
    """What was read: a kind and a code without its check symbol, or a unit's number in plain digits.

    also is a second reading of the code, where the scanner's keyboard may have swapped Y and Z.
    """

    kind: Kind
    code: str
    also: str = ""

    @property
    def codes(self) -> tuple[str, ...]:
        """Return the readings, the likeliest first."""
        return (self.code, self.also) if self.also else (self.code,)


_LONGEST = 500
_QR_ONLY = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)
# Scanners can be set to announce the kind of symbol, ]Q1 for a QR code (ISO/IEC 15424).
_ANNOUNCEMENT = re.compile(r"^\]Q\d")
_PATH = re.compile(r"(?:^|/)([tpb])/([^/?#]+)/?(?:[?#].*)?$", re.IGNORECASE)
# More digits without the sign would be a code.
_NUMBER = re.compile(r"#\s*(\d{1,9})|(\d{1,6})")


def read_scan(text: str, *, by_machine: bool = False) -> Scan:
    """Read one scan or one typed code.

    Takes an address with any host (garbled by a foreign keyboard layout too), a code with its check symbol, in any
    case, with hyphens or without, or a unit's number such as #0042. A code without check symbol is taken only
    by_machine, since a person who left a character out must hear of it. Raises Refused: `scan_empty`, `scan_not_ours`,
    `code_malformed`, `code_check_wrong`, `code_without_check`.
    """
    bare = _ANNOUNCEMENT.sub("", "".join(sign for sign in text if sign.isprintable()).strip())
    if not bare:
        raise Refused(Reason("scan_empty", field="scan"))
    if number := _NUMBER.fullmatch(bare):
        return Scan(Kind.NUMBER, str(int(number[1] or number[2])))
    if "/" in bare or bare.lower().startswith("http"):
        return _read_address(bare)
    return Scan(Kind.CODE, _read_code(bare, unchecked=by_machine))


def _read_address(text: str) -> Scan:
    found = [match for reading in mend(text[:_LONGEST]) if (match := _PATH.search(unquote(reading)))]
    if not found:
        raise Refused(Reason("scan_not_ours", {"given": text[:60]}, "scan"))
    codes = [_read_code(match[2], unchecked=True) for match in found]
    return Scan(_KINDS[found[0][1].lower()], *dict.fromkeys(codes))


def _read_code(text: str, *, unchecked: bool) -> str:
    folded = tidy(text)
    if len(folded) == LENGTH and set(folded) <= set(ALPHABET):
        if unchecked:
            return folded
        raise Refused(Reason("code_without_check", {"given": text[:40], "symbols": LENGTH + 1}, "scan"))
    return read_typed(text)


def read_picture(upload: BinaryIO) -> str:
    """Return the text of the QR code in an uploaded photo (JPEG, PNG or WebP), however it is turned.

    Where several codes are in view, one that is a tag of this shop is preferred. Raises Refused: what `open_upright`
    refuses, `picture_no_code`, `picture_many_codes`.
    """
    picture = open_upright(upload).convert("L")
    texts = next((texts for view in _views(picture) if (texts := _codes_in(view))), [])
    if not texts:
        raise Refused(Reason("picture_no_code", field="photo"))
    chosen = [text for text in texts if _is_ours(text)] or texts
    if len(chosen) > 1:
        raise Refused(Reason("picture_many_codes", {"count": len(chosen)}, "photo"))
    return chosen[0]


def _views(picture: Image.Image) -> Iterator[Image.Image]:
    """Yield the picture as it is, then with more contrast and at sizes that suit blurred and noisy photos."""
    yield picture
    for side_px in (2400, 1200, 600):
        smaller = picture.copy()
        smaller.thumbnail((side_px, side_px))
        yield ImageOps.autocontrast(smaller, cutoff=1)
    if max(picture.size) < 1000:
        yield ImageOps.scale(picture, 3)


def _codes_in(picture: Image.Image) -> list[str]:
    """Return the different texts of the QR codes that the decoder finds."""
    found = zxingcpp.read_barcodes(picture, formats=_QR_ONLY)
    return list(dict.fromkeys(code.text for code in found if code.text))


def _is_ours(text: str) -> bool:
    try:
        return read_scan(text, by_machine=True).kind in LETTERS
    except Refused:
        return False
