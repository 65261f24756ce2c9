"""The length of text messages against 3GPP TS 23.038 and TS 23.040.

What is checked: 140 octets to a part (TS 23.040, 9.2.3.24: TP-User-Data), a header of 6 octets in joined parts, septets
of 7 bits, UCS2 units of 16; the characters of the default alphabet and of its extension table (TS 23.038, 6.2.1 and
6.2.1.1). The tables are written here a second time, row by row as the standard prints its columns, from memory.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.notices.segments import BASIC, EXTENDED, measure, plain

# The columns of the printed table, 0 to 7, each from row 0 to row 15. Row 11 of column 1 is the escape.
COLUMNS = [
    "@£$¥èéùìòÇ\nØø\rÅå",
    "Δ_ΦΓΛΩΠΨΣΘΞ\x1bÆæßÉ",
    " !\"#¤%&'()*+,-./",
    "0123456789:;<=>?",
    "¡ABCDEFGHIJKLMNO",
    "PQRSTUVWXYZÄÖÑÜ§",
    "¿abcdefghijklmno",
    "pqrstuvwxyzäöñüà",
]
OCTETS, HEADER_OCTETS = 140, 6


def test_the_default_alphabet_is_the_standard_s() -> None:
    assert "".join(COLUMNS) == BASIC
    assert len(set(BASIC)) == 128


def test_the_extension_is_the_standard_s() -> None:
    assert set(EXTENDED) == set("\f^{}\\[~]|€")


def test_parts_hold_what_140_octets_hold() -> None:
    assert OCTETS * 8 // 7 == 160
    # The header is filled up to the next septet.
    assert 160 - -(-HEADER_OCTETS * 8 // 7) == 153
    assert OCTETS // 2 == 70
    assert (OCTETS - HEADER_OCTETS) // 2 == 67


@pytest.mark.parametrize(
    ("text", "encoding", "units", "parts", "left"),
    [
        ("", "GSM 7-bit", 0, 1, 160),
        ("a" * 160, "GSM 7-bit", 160, 1, 0),
        ("a" * 161, "GSM 7-bit", 161, 2, 145),
        ("a" * 306, "GSM 7-bit", 306, 2, 0),
        ("a" * 307, "GSM 7-bit", 307, 3, 152),
        ("€" * 80, "GSM 7-bit", 160, 1, 0),
        # 76 escaped signs fill 152 of 153 septets: the 77th does not go in half.
        ("€" * 81, "GSM 7-bit", 162, 2, 143),
        ("a" + "€" * 76 + "a" * 10, "GSM 7-bit", 163, 2, 143),
        ("ą" * 70, "UCS-2", 70, 1, 0),
        ("ą" * 71, "UCS-2", 71, 2, 63),
        ("ą" * 134, "UCS-2", 134, 2, 0),
        ("ą" * 135, "UCS-2", 135, 3, 66),
        ("🎮" * 35, "UCS-2", 70, 1, 0),
        # 33 pairs fill 66 of 67 units: the 34th does not go in half.
        ("🎮" * 67, "UCS-2", 134, 3, 65),
        ("a" * 69 + "ą", "UCS-2", 70, 1, 0),
    ],
)
def test_published_limits(text: str, encoding: str, units: int, parts: int, left: int) -> None:
    found = measure(text)
    assert (found.encoding, found.units, found.parts, found.left) == (encoding, units, parts, left)


@given(st.text(alphabet=st.sampled_from([*BASIC.replace("\x1b", ""), *EXTENDED, "ą", "🎮", "ệ"]), max_size=700))
def test_the_parts_hold_the_units_and_no_fewer_would(text: str) -> None:
    found = measure(text)
    alone, joined, waste = (160, 153, 1) if found.encoding == "GSM 7-bit" else (70, 67, 1)
    if found.parts == 1:
        assert found.units + found.left == alone
    else:
        assert found.units > alone
        # At most one unit is lost at the end of each part but the last.
        assert 0 <= found.parts * joined - found.left - found.units <= waste * (found.parts - 1)


@given(st.text(max_size=200))
def test_every_text_has_a_length_and_plain_signs_never_make_it_longer_in_parts(text: str) -> None:
    assert measure(text).parts >= 1
    if measure(text).encoding == "UCS-2" and "…" not in text:
        assert measure(plain(text)).parts <= measure(text).parts


def test_signs_of_print_do_not_double_the_cost() -> None:
    assert plain("“Ada’s” – 3 — 4…") == '"Ada\'s" - 3 - 4...'
    assert measure(plain("It’s ready")).encoding == "GSM 7-bit"
    assert plain("Trần Bảo 🎮") == "Trần Bảo 🎮"
