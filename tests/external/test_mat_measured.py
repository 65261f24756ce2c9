"""Layout mats as poppler prints them at 300 dots an inch, measured in pixels; QR codes read by zxing-cpp."""

import io
import re
import subprocess
from collections.abc import Callable
from itertools import pairwise
from math import hypot
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import zxingcpp
from PIL import Image
from pypdf import PdfReader

from shop.boards.spots import Screw, Side, Spot
from shop.units.label_draw import Paper
from shop.work.mat_draw import fasteners_list_pdf, fasteners_mat_pdf, parts_list_pdf, parts_mat_pdf
from shop.work.mats import MatHead, PartBox

DOT_MM = 25.4 / 300
HEAD = MatHead("W-00042", "K7Q-2M9F~", "http://shop.test/t/K7Q2M9F", "Quillon Lantern", "QL-2 rev. C")
SIZES = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}
PARTS = [
    PartBox(Spot(designator="C1", value="100 µF", x_mm=30, y_mm=20)),
    PartBox(Spot(designator="C2", x_mm=92.5, y_mm=66)),
]
FAR = [PartBox(Spot(designator="R1", x_mm=20, y_mm=30)), PartBox(Spot(designator="R2", x_mm=200, y_mm=75))]
BELOW = [PartBox(Spot(designator="R1", x_mm=20, y_mm=30, side=Side.BOTTOM))]
SCREWS = [Screw(label="A", where="case", count=2, places_mm=((20, 30), (280, 210)))]
Dark = npt.NDArray[np.bool_]


def printed(pdf: bytes, folder: Path) -> list[Image.Image]:
    """Print each page with poppler, which has to be there."""
    (folder / "mat.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", "300", "-gray", folder / "mat.pdf", folder / "page"], check=True)
    return [Image.open(page).convert("L") for page in sorted(folder.glob("page*.pgm"))]


def dark(page: Image.Image) -> Dark:
    return np.array(page) < 128


def longest(line: Dark) -> int:
    """How many dark dots follow one another at most."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], line.astype(np.int8), [0]))))
    return int((edges[1::2] - edges[::2]).max(initial=0))


def middle_of_most(counts: list[int]) -> float:
    """The middle of where the counts are about the largest, in dots."""
    return float(np.flatnonzero(np.array(counts) >= 0.9 * max(counts)).mean())


def cross_near(page: Dark, x_mm: float, y_mm: float) -> tuple[float, float]:
    """The middle of the upright and of the level line that are longest within 2 mm of a point, from the top left."""
    left, top, reach = round((x_mm - 2) / DOT_MM), round((y_mm - 2) / DOT_MM), round(4 / DOT_MM)
    near = page[top : top + reach, left : left + reach]
    upright = middle_of_most([longest(near[:, column]) for column in range(reach)])
    level = middle_of_most([longest(near[row]) for row in range(reach)])
    return (left + upright + 0.5) * DOT_MM, (top + level + 0.5) * DOT_MM


def outline(page: Dark, size_mm: tuple[float, float]) -> tuple[float | None, float | None, float]:
    """The board's left and right edge, where they are to be seen, and its lower edge, from the top left."""
    tall = [column for column in range(page.shape[1]) if longest(page[:, column]) * DOT_MM > size_mm[1] - 1]
    wide = [row for row in range(410, page.shape[0]) if longest(page[row]) * DOT_MM > min(size_mm[0] - 1, 90)]
    groups = np.split(np.array(tall), np.flatnonzero(np.diff(tall) > 5) + 1)
    edges = [(float(group.mean()) + 0.5) * DOT_MM for group in groups]
    lower = [row for row in wide if row > wide[-1] - 8]
    half = page.shape[1] * DOT_MM / 2
    left, right = (next((edge for edge in edges if (edge < half) is first), None) for first in (True, False))
    return left, right, (float(np.mean(lower)) + 0.5) * DOT_MM


def every_pdf(paper: Paper) -> list[bytes]:
    return [
        parts_list_pdf(HEAD, PARTS, paper),
        fasteners_list_pdf(HEAD, SCREWS, paper),
        parts_mat_pdf(HEAD, [*FAR, *BELOW], (220, 150), paper),
        fasteners_mat_pdf(HEAD, SCREWS, (300, 240), paper),
        *across_pdfs(paper),
    ]


def across_pdfs(paper: Paper) -> list[bytes]:
    """Mats that lie across: a sheet of parts, one of fasteners, and four of a board that is cut both ways."""
    return [
        parts_mat_pdf(HEAD, PARTS, (160, 110), paper),
        fasteners_mat_pdf(HEAD, SCREWS, (250, 150), paper),
        parts_mat_pdf(HEAD, FAR, (380, 300), paper),
    ]


@pytest.mark.parametrize("paper", Paper)
def test_each_page_is_its_paper_keeps_the_margin_and_says_the_address(paper: Paper, tmp_path: Path) -> None:
    for pdf in every_pdf(paper):
        for page in PdfReader(io.BytesIO(pdf)).pages:
            size = float(page.mediabox.width) * 25.4 / 72, float(page.mediabox.height) * 25.4 / 72
            across = pdf in across_pdfs(paper)
            assert size == pytest.approx(SIZES[paper][::-1] if across else SIZES[paper], abs=0.01)
        for image in printed(pdf, tmp_path):
            assert [code.text for code in zxingcpp.read_barcodes(image)] == [HEAD.address]
            ink = dark(image)
            end = image.width * DOT_MM - 8
            for left, top, right, bottom in (
                (35, 8, 90, 17),
                (35, 17, 70, 23),
                (35, 28, 60, 33),
                (end - 32, 8, end, 15),
            ):
                dots = ink[round(top / DOT_MM) : round(bottom / DOT_MM), round(left / DOT_MM) : round(right / DOT_MM)]
                assert 0.02 < dots.mean() < 0.5  # the number, the code, what the sheet is, and its page can be seen
            edge = int(7.8 / DOT_MM)
            ink[edge:-edge, edge:-edge] = False
            assert not ink.any()


@pytest.mark.parametrize("paper", Paper)
def test_the_ruler_of_each_page_is_50_mm_long(paper: Paper, tmp_path: Path) -> None:
    for pdf in every_pdf(paper):
        for image in printed(pdf, tmp_path):
            corner = dark(image)[round(9 / DOT_MM) : round(33.5 / DOT_MM), image.width // 2 :]
            row = max(range(corner.shape[0]), key=lambda row: longest(corner[row]))
            around = corner[row - round(1.5 / DOT_MM) : row + round(1.5 / DOT_MM)]
            ticks = [column for column in range(around.shape[1]) if longest(around[:, column]) * DOT_MM > 2.5]
            first, last = (np.mean([tick for tick in ticks if abs(tick - end) < 5]) for end in (ticks[0], ticks[-1]))
            assert (last - first) * DOT_MM == pytest.approx(50, abs=0.3)
            assert longest(corner[row]) * DOT_MM == pytest.approx(50, abs=0.3)


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("side", Side)
@pytest.mark.parametrize(("size", "across"), [((120, 80), False), ((160, 110), True)], ids=["upright", "across"])
def test_placements_are_where_they_are_on_the_board(
    paper: Paper, side: Side, size: tuple[float, float], across: bool, tmp_path: Path
) -> None:
    """Both from the board's lower left corner and from one another; from below the corner is the lower right one."""
    spots = [Spot(designator=box.spot.designator, x_mm=box.spot.x_mm, y_mm=box.spot.y_mm, side=side) for box in PARTS]
    (image,) = printed(parts_mat_pdf(HEAD, [PartBox(spot) for spot in spots], size, paper), tmp_path)
    assert (image.width > image.height) is across
    page = dark(image)
    left, right, lower = outline(page, size)
    assert left is not None
    assert right is not None
    assert right - left == pytest.approx(size[0], abs=0.3)
    found = []
    for spot in spots:
        assert spot.x_mm is not None
        assert spot.y_mm is not None
        x = left + spot.x_mm if side is Side.TOP else right - spot.x_mm
        found.append(cross_near(page, x, lower - spot.y_mm))
        assert found[-1] == pytest.approx((x, lower - spot.y_mm), abs=0.3)
    (one_x, one_y), (other_x, other_y) = found
    assert hypot(one_x - other_x, one_y - other_y) == pytest.approx(hypot(62.5, 46), abs=0.3)


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize(
    "draw",
    [
        lambda paper: parts_mat_pdf(HEAD, FAR, (320, 150), paper),
        lambda paper: fasteners_mat_pdf(HEAD, SCREWS, (320, 150), paper),
    ],
    ids=["parts", "fasteners"],
)
def test_an_overlap_cross_is_the_same_point_of_the_board_on_both_sheets(
    paper: Paper, draw: Callable[[Paper], bytes], tmp_path: Path
) -> None:
    """From the board's left edge on one sheet and from its right edge on the other: where its words say it is."""
    pdf = draw(paper)
    marks = [set(re.findall(r"\((\d+), (\d+)\)", page.extract_text())) for page in PdfReader(io.BytesIO(pdf)).pages[:2]]
    assert marks[0] == marks[1]
    assert {y for _x, y in marks[0]} == {"0", "50", "100", "150"}
    first, second = (dark(image) for image in printed(pdf, tmp_path)[:2])
    left, _none, lower = outline(first, (320, 150))
    _none, right, other_lower = outline(second, (320, 150))
    assert left is not None
    assert right is not None
    for words in marks[0]:
        x, y = (float(word) for word in words)
        one = cross_near(first, left + x, lower - y)
        other = cross_near(second, right - (320 - x), other_lower - y)
        assert (one[0] - left, lower - one[1]) == pytest.approx((x, y), abs=0.3)
        assert (320 - (right - other[0]), other_lower - other[1]) == pytest.approx((x, y), abs=0.3)


def test_the_crosses_of_a_seam_are_50_mm_apart(tmp_path: Path) -> None:
    """On a sheet of a board that is cut both ways, upright and across."""
    for size, heights in (((220, 400), (50, 100, 150)), ((380, 300), (50, 100))):
        image = printed(parts_mat_pdf(HEAD, FAR, size), tmp_path)[-1]
        assert (image.width > image.height) is (size[0] > size[1])
        page = dark(image)
        _left, right, lower = outline(page, (0, size[1] / 2))
        assert right is not None
        found = [cross_near(page, right - size[0] / 2, lower - y)[1] for y in heights]
        assert [one - other for one, other in pairwise(found)] == pytest.approx([50] * (len(heights) - 1), abs=0.3)
