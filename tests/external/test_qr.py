"""QR symbols against ISO/IEC 18004 and two independent decoders (catalogue section 13)."""

import csv
import random
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np
import pytest
import qrcode
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from qrcode import base, constants, exceptions, util

from shop.core.tagcode import ALPHABET
from shop.units.labels import QUIET_MODULES, qr_modules
from tests.external.qr_symbol import Modules, bare, codewords, damaged, format_bits, level_and_mask

LEVELS = {
    "L": constants.ERROR_CORRECT_L,
    "M": constants.ERROR_CORRECT_M,
    "Q": constants.ERROR_CORRECT_Q,
    "H": constants.ERROR_CORRECT_H,
}
MODES = {"numeric": "7", "alphanumeric": "A", "byte": "a"}
ADDRESS = "http://shop.test/t/K7Q2M9F"


def capacities() -> Iterator[dict[str, str]]:
    """QR-01: ISO/IEC 18004:2015 table 7, as two encoders (segno 1.6.6, qrcode 8.2) give it alike."""
    with (Path(__file__).parent / "data" / "qr_capacity.csv").open() as file:
        yield from csv.DictReader(file)


def best_version(text: str, level: str) -> int:
    symbol = qrcode.QRCode(error_correction=LEVELS[level])
    symbol.add_data(text, optimize=0)
    return int(symbol.best_fit(start=1))


def picture(rows: Modules, scale: int) -> np.ndarray:
    quiet = np.pad(np.array(rows, dtype=bool), QUIET_MODULES)
    return np.kron(np.where(quiet, 0, 255).astype(np.uint8), np.ones((scale, scale), dtype=np.uint8))


def decoded(rows: Modules) -> dict[str, str]:
    """What each of the two decoders reads.

    OpenCV's search, not its decoding, misses a few whole symbols at any one size, so it looks at up to four.
    """
    found = zxingcpp.read_barcodes(picture(rows, 6), formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode))
    looks = (cv2.QRCodeDetector().detectAndDecode(picture(rows, scale))[0] for scale in (6, 4, 3, 9))
    return {"zxing-cpp": found[0].text if found else "", "OpenCV": next((text for text in looks if text), "")}


@pytest.mark.parametrize("level", list(LEVELS))
@pytest.mark.parametrize("mode", list(MODES))
def test_it_takes_as_much_as_the_standard_says_and_no_more(level: str, mode: str) -> None:
    """QR-01, QR-02: in each version n characters fit and n + 1 do not."""
    rows = [row for row in capacities() if row["level"] == level]
    assert len(rows) == 40
    for row in rows:
        version, fits = int(row["version"]), int(row[mode])
        if version not in (1, 2, 4, 7, 9, 10, 13, 26, 27, 40):  # both ends and each change of the count's length
            continue
        assert best_version(MODES[mode] * fits, level) == version
        if version < 40:
            assert best_version(MODES[mode] * (fits + 1), level) == version + 1
        else:
            with pytest.raises((exceptions.DataOverflowError, ValueError)):
                best_version(MODES[mode] * (fits + 1), level)


def test_it_divides_codewords_as_the_standard_says() -> None:
    """QR-01: data and error correction codewords and blocks of all 160 symbols."""
    for row in capacities():
        blocks = base.rs_blocks(int(row["version"]), LEVELS[row["level"]])
        counted = (sum(block.data_count for block in blocks), sum(block.total_count for block in blocks), len(blocks))
        assert counted == (int(row["data_codewords"]), int(row["total_codewords"]), int(row["rs_blocks"]))


@pytest.mark.parametrize(
    ("version", "level", "row"),
    [
        (1, "L", "41/25/17"),
        (1, "H", "17/10/7"),
        (4, "Q", "111/67/46"),
        (7, "M", "293/178/122"),
        (10, "H", "288/174/119"),
        (40, "L", "7089/4296/2953"),
    ],
)
def test_the_kept_table_has_the_published_rows(version: int, level: str, row: str) -> None:
    """QR-02."""
    found = [line for line in capacities() if (int(line["version"]), line["level"]) == (version, level)]
    assert "/".join(found[0][mode] for mode in MODES) == row


@pytest.mark.parametrize(("length", "version"), [(7, 1), (26, 4), (34, 4), (35, 5), (58, 6), (119, 10), (177, 13)])
def test_a_label_has_as_many_modules_as_its_version_needs(length: int, version: int) -> None:
    """QR-03: 17 + 4 v modules a side (21, 57, 177 for versions 1, 10, 40); level H."""
    rows = qr_modules("x" * length)
    assert len(rows) == len(rows[0]) == 17 + 4 * version + 2 * QUIET_MODULES
    assert {(int(row["version"]), int(row["modules_per_side"])) for row in capacities()} >= {
        (1, 21),
        (10, 57),
        (40, 177),
    }


def test_it_encodes_the_worked_example_of_the_standard() -> None:
    """QR-04: ISO/IEC 18004 annex I, 01234567 in 1-M (from memory, and seen in a symbol of segno 1.6.6)."""
    data = "10 20 0C 56 61 80 EC 11 EC 11 EC 11 EC 11 EC 11"
    correction = "A5 24 D4 C1 ED 36 C7 87 2C 55"
    symbol = qrcode.QRCode(version=1, error_correction=LEVELS["M"], border=0)
    symbol.add_data("01234567")
    symbol.make(fit=False)
    read = codewords([[bool(module) for module in row] for row in symbol.get_matrix()])
    assert bytes(read) == bytes.fromhex(data + correction)


def test_it_writes_the_published_format_bits() -> None:
    """QR-06: ISO/IEC 18004 table C.1, level M, masks 0 to 7 (quoted by six public sources)."""
    published = """
        101010000010010 101000100100101 101111001111100 101101101001011
        100010111111001 100000011001110 100111110010111 100101010100000"""
    for mask, bits in enumerate(published.split()):
        symbol = qrcode.QRCode(version=1, error_correction=LEVELS["M"], border=0, mask_pattern=mask)
        symbol.add_data("01234567")
        symbol.make(fit=False)
        matrix = [[bool(module) for module in row] for row in symbol.get_matrix()]
        assert format_bits(matrix) == bits
        assert level_and_mask(matrix) == ("M", mask)


@pytest.mark.parametrize(
    ("version", "bits"),
    [
        (7, "000111110010010100"),
        (8, "001000010110111100"),
        (9, "001001101010011001"),
        (10, "001010010011010011"),
    ],
)
def test_it_writes_the_published_version_bits(version: int, bits: str) -> None:
    """QR-07: ISO/IEC 18004 annex D; read off beside the top right finder, where bit 0 is top left."""
    length = next(int(row["byte"]) for row in capacities() if (row["version"], row["level"]) == (str(version), "H"))
    symbol = bare(qr_modules("x" * length), QUIET_MODULES)
    side = len(symbol)
    read = [symbol[y][x] for y in range(6) for x in range(side - 11, side - 8)]
    assert "".join("01"[bit] for bit in reversed(read)) == bits


def test_it_packs_the_alphanumeric_example_of_the_standard() -> None:
    """QR-08: ISO/IEC 18004 7.4.4, AC-42 (from memory and recomputed: pairs 462 and 1849, then 2)."""
    bits = util.BitBuffer()
    data = util.QRData("AC-42")
    bits.put(data.mode, 4)
    bits.put(len(data), util.length_in_bits(data.mode, 1))
    data.write(bits)
    assert "".join("01"[bits.get(place)] for place in range(len(bits))) == "00100000001010011100111011100111001000010"


def test_a_label_says_its_address_in_bytes_at_level_h() -> None:
    """QR-10 by level, and the data codewords read without any decoder: mode 4, the length, the letters."""
    symbol = bare(qr_modules(ADDRESS), QUIET_MODULES)
    assert level_and_mask(symbol)[0] == "H"
    data = codewords(symbol)[:36]  # version 4: 4 blocks of 9 data codewords, dealt out in turn
    blocks = [data[block::4] for block in range(4)]
    stream = "".join(f"{word:08b}" for block in blocks for word in block)
    assert stream[:12] == f"0100{len(ADDRESS):08b}"
    said = [int(stream[12 + 8 * place : 20 + 8 * place], 2) for place in range(len(ADDRESS))]
    assert bytes(said).decode() == ADDRESS


@pytest.mark.parametrize(("level", "correctable"), [("L", 2), ("M", 4), ("Q", 6), ("H", 8)])
def test_two_decoders_read_a_symbol_with_as_many_broken_codewords_as_its_level_mends(
    level: str, correctable: int
) -> None:
    """QR-09: ISO/IEC 18004 table 9, version 1: 2, 4, 6 and 8 of 26. Trap T8: more may be mended, less may not."""
    plain = qrcode.QRCode(version=1, error_correction=LEVELS[level], border=0)
    plain.add_data("K7Q2M9F")
    plain.make(fit=False)
    symbol = [[bool(module) for module in row] for row in plain.get_matrix()]
    chance = random.Random(18004)
    for _ in range(10):
        broken = damaged(symbol, chance.sample(range(26), correctable), chance)
        assert decoded(broken) == {"zxing-cpp": "K7Q2M9F", "OpenCV": "K7Q2M9F"}


def test_two_decoders_read_a_label_with_eight_broken_codewords_in_each_block() -> None:
    """QR-09 on what we print: version 4-H has four blocks of 25 codewords, eight of which may be wrong: 32 %."""
    symbol = bare(qr_modules(ADDRESS), QUIET_MODULES)
    chance = random.Random(62)
    for _ in range(10):
        which = [4 * place + block for block in range(4) for place in chance.sample(range(25), 8)]
        assert decoded(damaged(symbol, which, chance)) == {"zxing-cpp": ADDRESS, "OpenCV": ADDRESS}


def test_damage_beyond_that_is_noticed_and_never_read_as_something_else() -> None:
    """The control: with half of the codewords broken both decoders read nothing at all."""
    symbol = bare(qr_modules(ADDRESS), QUIET_MODULES)
    chance = random.Random(40)
    assert decoded(damaged(symbol, chance.sample(range(100), 50), chance)) == {"zxing-cpp": "", "OpenCV": ""}


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(["http://192.168.1.20:8000", "https://shop.example", "http://[fd00::7]:8000", "http://a.b/c/d"]),
    st.sampled_from("tpb"),
    st.text(ALPHABET, min_size=7, max_size=7),
)
def test_two_decoders_read_whatever_address_a_label_says(host: str, letter: str, code: str) -> None:
    """QR-11. Trap T7: the text is compared, never the modules, since encoders choose masks differently."""
    address = f"{host}/{letter}/{code}"
    assert decoded(bare(qr_modules(address), QUIET_MODULES)) == {"zxing-cpp": address, "OpenCV": address}
