"""How fast a mat of a large board is drawn: 2,000 placements in two seconds, and as a ratio beside plain rectangles."""

import io
import time
from collections.abc import Callable

import pytest
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from shop.boards.spots import Kind, Points, Spot
from shop.core.fonts import find_font
from shop.work.mat_draw import parts_mat_pdf
from shop.work.mats import MatHead, PartBox

pytestmark = pytest.mark.benchmark
HEAD = MatHead("W-00042", "K7Q-2M9F~", "http://shop.test/t/K7Q2M9F", "Quillon Lantern", "QL-2 rev. C")
BOARD_MM = (400.0, 300.0)
# 50 by 40 placements, 8 × 7.5 mm apart, of a hundred values and twelve lots.
PARTS = [
    PartBox(
        Spot(
            designator=f"C{n + 1}", value=f"{n % 100 + 1} µF", rating="25 V", kind=Kind.ELECTROLYTIC,
            x_mm=4 + n % 50 * 8, y_mm=4 + n // 50 * 7.5, width_mm=6.3, depth_mm=5, positive=list(Points)[n % 5],
        ),
        kit=f"E{n % 100}", lot=f"24-{n % 12 + 1:02d}",
    )
    for n in range(2000)
]  # fmt: skip


def plain_rectangles() -> bytes:
    """As many rectangles with a word in each, fifty a page, with nothing worked out."""
    out = io.BytesIO()
    canvas = Canvas(out, invariant=True)
    for index, part in enumerate(PARTS):
        if index and index % 50 == 0:
            canvas.showPage()
        x, y = (10 + index % 5 * 38) * mm, (10 + index // 5 % 10 * 27) * mm
        canvas.setFont(find_font().regular, 9)
        canvas.rect(x, y, 36 * mm, 25 * mm)
        canvas.drawString(x + 2, y + 2, part.spot.designator)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def seconds(act: Callable[[], object]) -> float:
    """The least of three runs: the others were disturbed by something else."""

    def once() -> float:
        began = time.perf_counter()
        act()
        return time.perf_counter() - began

    return min(once() for _ in range(3))


def test_a_mat_of_two_thousand_placements_takes_less_than_two_seconds() -> None:
    mat, plain = seconds(lambda: parts_mat_pdf(HEAD, PARTS, BOARD_MM)), seconds(plain_rectangles)
    print(
        f"\nparts mat of 2,000 placements: {mat:.2f} s; 2,000 plain labelled rectangles: {plain:.2f} s; "
        f"ratio {mat / plain:.1f}"
    )
    assert mat < 2.0


def test_twice_the_placements_take_no_more_than_three_times_as_long() -> None:
    half = seconds(lambda: parts_mat_pdf(HEAD, PARTS[::2], BOARD_MM))
    whole = seconds(lambda: parts_mat_pdf(HEAD, PARTS, BOARD_MM))
    print(f"\nparts mat of 1,000 placements: {half:.2f} s; of 2,000: {whole:.2f} s")
    assert whole < 3 * half
