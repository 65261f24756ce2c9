"""The paper of a decision against published rules: PDF, SHA-256, and the QR code, read by others' programs."""

import hashlib
import io
from itertools import groupby

import cv2
import numpy as np
import pytest
import zxingcpp
from numpy.typing import NDArray
from pypdf import PdfReader
from pypdf.generic import ContentStream

from shop.ledger.tax import TaxRules
from shop.quotes import content as contents
from shop.quotes.lines import Line
from shop.quotes.paper_drawing import ATTACHED, draw_decision
from tests.quotes.drawn_papers import ABOUT, content_with, evidence_of

RULES = TaxRules(8875, 0, "USD")
EVIDENCE = evidence_of(
    content_with([Line("Повтор 王 😀", "labour", 1, 6000)], RULES, "So."), "approved", frozenset(), RULES
)


@pytest.fixture(scope="module")
def pdf() -> bytes:
    return draw_decision(EVIDENCE, ABOUT)


@pytest.mark.parametrize(
    ("text", "digest"),
    [
        ("abc", "ba7816bf 8f01cfea 414140de 5dae2223 b00361a3 96177a9c b410ff61 f20015ad"),
        (
            "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
            "248d6a61 d20638b8 e5c02693 0c3e6039 a33ce459 64ff2167 f6ecedd4 19db06c1",
        ),
    ],
)
def test_it_hashes_as_the_standard_says(text: str, digest: str) -> None:
    """FIPS 180-2, appendices B.1 and B.2 (the same examples go with FIPS 180-4)."""
    assert contents.sha256(text) == digest.replace(" ", "")


def test_each_object_lies_where_the_cross_reference_table_says(pdf: bytes) -> None:
    """ISO 32000-1, 7.5.4 and 7.5.5: ten digits of offset, five of generation, n or f; startxref points at the table."""
    assert pdf.startswith(b"%PDF-1.")
    assert pdf.rstrip().endswith(b"%%EOF")
    table = int(pdf[pdf.rindex(b"startxref") :].split()[1])
    head, first, count, *rows = pdf[table : pdf.index(b"trailer", table)].split()
    assert (head, int(first), len(rows)) == (b"xref", 0, 3 * int(count))
    for number in range(1, int(count)):
        offset, generation, kind = rows[3 * number : 3 * number + 3]
        assert (len(offset), generation, kind) == (10, b"00000", b"n")
        assert pdf[int(offset) :].startswith(b"%d 0 obj" % number)


def test_the_evidence_is_an_embedded_file_in_the_name_tree(pdf: bytes) -> None:
    """ISO 32000-1, 7.11.4 (embedded file streams), 7.11.3 (file specifications), 7.7.4 (name dictionary)."""
    root = PdfReader(io.BytesIO(pdf), strict=True).root_object
    name, pointer = root["/Names"]["/EmbeddedFiles"]["/Names"]  # type: ignore[index]
    told = pointer.get_object()
    stream = told["/EF"]["/F"].get_object()
    assert (name, told["/Type"], told["/F"], told["/UF"]) == (ATTACHED, "/Filespec", ATTACHED, ATTACHED)
    assert (stream["/Type"], stream["/Subtype"]) == ("/EmbeddedFile", "/application/json")
    assert stream.get_data() == EVIDENCE.encode()
    assert stream["/Params"]["/Size"] == len(EVIDENCE.encode())


def _modules(pdf: bytes) -> NDArray[np.uint8]:
    """The QR code as it is drawn on the last page: the smallest squares of its fills, dark as 0."""
    reader = PdfReader(io.BytesIO(pdf))
    operations = ContentStream(reader.pages[-1].get_contents(), reader).operations
    fills = [tuple(map(float, operands)) for operands, operator in operations if operator == b"re"]
    height = min(fill[3] for fill in fills)
    fills = [fill for fill in fills if abs(fill[3] - height) < height / 100]
    top = max(y for _x, y, _w, _h in fills)
    left = min(x for x, _y, _w, _h in fills)
    cells = [(round((top - y) / height), round((x - left) / height), round(w / height)) for x, y, w, _h in fills]
    side = max(row for row, _column, _width in cells) + 1
    grid = np.full((side, side), 255, np.uint8)
    for row, column, width in cells:
        grid[row, column : column + width] = 0
    return grid


def test_other_programs_read_its_code(pdf: bytes) -> None:
    """ISO/IEC 18004, as zxing-cpp and OpenCV decode what the page's own drawing operators fill."""
    picture = np.kron(np.pad(_modules(pdf), 4, constant_values=255), np.ones((8, 8), np.uint8)).astype(np.uint8)
    wanted = f"{ABOUT.check_at}?hash={hashlib.sha256(EVIDENCE.encode()).hexdigest()}"
    (found,) = zxingcpp.read_barcodes(picture)
    assert found.text == wanted
    assert cv2.QRCodeDetector().detectAndDecode(picture)[0] == wanted


def test_the_code_is_large_enough_to_scan_from_paper(pdf: bytes) -> None:
    """Common practice: modules of 0.4 mm or more for a phone's camera. From memory, not from a standard."""
    reader = PdfReader(io.BytesIO(pdf))
    operations = ContentStream(reader.pages[-1].get_contents(), reader).operations
    heights = sorted(float(operands[3]) for operands, operator in operations if operator == b"re")
    module_mm, count = max(
        ((height * 25.4 / 72, len(list(same))) for height, same in groupby(heights)), key=lambda pair: pair[1]
    )
    assert count > 100
    assert module_mm >= 0.4


def test_it_says_nothing_of_when_and_where_it_was_made(pdf: bytes) -> None:
    """Two machines make the same file: the dates in it are constant (reportlab's invariant mode)."""
    meta = PdfReader(io.BytesIO(pdf)).metadata
    assert meta is not None
    assert meta["/CreationDate"] == meta["/ModDate"]
    assert str(meta["/CreationDate"]).startswith("D:2000")
