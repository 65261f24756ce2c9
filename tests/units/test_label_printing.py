"""Labels as they come out of the printer, and what scanners make of them."""

import io
import re
import shutil
import subprocess
from pathlib import Path

import cv2
import numpy as np
import pytest
import zxingcpp
from PIL import Image, ImageDraw
from pypdf import PageObject, PdfReader

from shop.core.reasons import Refused
from shop.units.label_draw import Paper, grid, sheet_pdf, tag_pdf, tag_png, tag_svg
from shop.units.label_layout import module_mm
from shop.units.labels import Tag, qr_modules

POINT_MM = 25.4 / 72
TAG = Tag("http://shop.test/t/K7Q2M9F", "K7Q-2M9F~", "042", "Quillon Lantern", "TB", "unit")


def raster(pdf: bytes, folder: Path, dpi: int = 300) -> list[Image.Image]:
    """Rasterise each page as a printer would: by poppler where it is installed, else its boxes alone."""
    if not shutil.which("pdftoppm"):
        return [boxes_of(page, dpi) for page in PdfReader(io.BytesIO(pdf)).pages]
    (folder / "labels.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", str(dpi), "-gray", folder / "labels.pdf", folder / "page"], check=True)
    return [Image.open(page).convert("L") for page in sorted(folder.glob("page*.pgm"))]


def boxes_of(page: PageObject, dpi: int) -> Image.Image:
    """Draw the filled rectangles of a page, which are all there is of a QR code."""
    content = page.get_contents()
    assert content is not None
    height, dots = float(page.mediabox.height), dpi / 72
    picture = Image.new("L", (round(float(page.mediabox.width) * dots), round(height * dots)), 255)
    for words in re.findall(r"(\S+ \S+ \S+ \S+) re\b", content.get_data().decode("latin-1")):
        x, y, width, tall = (float(word) for word in words.split())
        left, top = round(x * dots), round((height - y - tall) * dots)
        right, bottom = round((x + width) * dots) - 1, round((height - y) * dots) - 1
        ImageDraw.Draw(picture).rectangle((left, top, max(left, right), max(top, bottom)), fill=0)
    return picture


def size_mm(pdf: bytes) -> list[tuple[float, float]]:
    pages = PdfReader(io.BytesIO(pdf)).pages
    return [(float(page.mediabox.width) * POINT_MM, float(page.mediabox.height) * POINT_MM) for page in pages]


def test_its_pages_are_exactly_62_by_40_mm() -> None:
    for size in size_mm(tag_pdf([TAG, TAG])):
        assert size == pytest.approx((62, 40), abs=0.001)


def test_its_boxes_alone_can_be_read() -> None:
    """So that a machine without poppler tests the sheets just as well."""
    (page,) = [boxes_of(page, 300) for page in PdfReader(io.BytesIO(tag_pdf([TAG]))).pages]
    assert [code.text for code in zxingcpp.read_barcodes(page)] == [TAG.address]


def test_two_decoders_read_its_address_from_the_printed_page(tmp_path: Path) -> None:
    """Catalogue QR-11."""
    (page,) = raster(tag_pdf([TAG]), tmp_path)
    assert [code.text for code in zxingcpp.read_barcodes(page)] == [TAG.address]
    assert cv2.QRCodeDetector().detectAndDecode(np.array(page))[0] == TAG.address


@pytest.mark.parametrize("dpi", [203, 300])
def test_it_can_be_read_as_a_label_printer_prints_it(dpi: int, tmp_path: Path) -> None:
    (page,) = raster(tag_pdf([TAG]), tmp_path, dpi)
    dots = page.point(lambda grey: 255 if grey > 127 else 0)
    assert [code.text for code in zxingcpp.read_barcodes(dots)] == [TAG.address]


def test_two_decoders_read_its_address_from_the_png() -> None:
    with Image.open(io.BytesIO(tag_png(TAG))) as picture:
        assert picture.mode == "1"
        assert picture.size == (62 * 40, 40 * 40)
        assert picture.info["dpi"] == pytest.approx((1016, 1016), abs=0.1)
        grey = picture.convert("L")
    assert [code.text for code in zxingcpp.read_barcodes(grey)] == [TAG.address]
    smaller = np.array(grey.resize((1240, 800)))
    assert cv2.QRCodeDetector().detectAndDecode(smaller)[0] == TAG.address


def test_its_svg_has_its_true_size_and_its_modules() -> None:
    svg = tag_svg(Tag("http://shop.test/t/K7Q2M9F", "K7Q-2M9F~", "042", "<Lantern> & co", "TB"))
    assert 'width="62mm" height="40mm" viewBox="0 0 62 40"' in svg
    assert "&lt;Lantern&gt;" in svg
    assert "&amp;" in svg
    modules = sum(sum(row) for row in qr_modules(TAG.address))
    side = module_mm(len(qr_modules(TAG.address)))
    drawn = sum(float(width) for width in re.findall(r"M[\d.]+ [\d.]+h([\d.]+)v", svg))
    assert drawn / side == pytest.approx(modules)


def test_equal_labels_make_equal_files() -> None:
    assert tag_pdf([TAG]) == tag_pdf([TAG])
    assert tag_png(TAG) == tag_png(TAG)


def test_it_is_printed_in_black_alone_and_at_its_own_size() -> None:
    reader = PdfReader(io.BytesIO(sheet_pdf([TAG] * 30)))
    for page in reader.pages:
        content = page.get_contents()
        assert content is not None
        drawing = content.get_data().decode("latin-1")
        assert not re.search(r"\b(rg|RG|k|K|cs|CS|sc|SC|scn|SCN|sh|Do)\b(?=\s)", re.sub(r"\([^)]*\)", "", drawing))
        assert set(re.findall(r"([\d.]+) [gG]\s", drawing)) <= {"0"}
    wishes = reader.viewer_preferences
    assert wishes is not None
    assert str(wishes.print_scaling) == "/None"


@pytest.mark.parametrize(("paper", "size", "labels"), [(Paper.A4, (210, 297), 21), (Paper.LETTER, (215.9, 279.4), 18)])
def test_a_sheet_is_full_of_labels_that_can_all_be_read(
    paper: Paper, size: tuple[float, float], labels: int, tmp_path: Path
) -> None:
    tags = [Tag(f"http://shop.test/t/K7Q2M{n:02d}", f"K7Q-2M{n:02d}0", f"{n:03d}") for n in range(labels + 1)]
    assert grid(paper).places == labels
    pdf = sheet_pdf(tags, paper)
    assert size_mm(pdf) == [pytest.approx(size, abs=0.001)] * 2
    pages = [{code.text for code in zxingcpp.read_barcodes(page)} for page in raster(pdf, tmp_path, 200)]
    assert pages == [{tag.address for tag in tags[:-1]}, {tags[-1].address}]


@pytest.mark.parametrize("start", [1, 5, 21])
def test_a_sheet_that_was_begun_is_finished(start: int, tmp_path: Path) -> None:
    """The first label lies on the named place, and a full sheet is followed by one that begins at the top."""
    tags = [TAG, Tag("http://shop.test/t/0A1B2C3", "0A1-B2C30", "043")]
    pages = raster(sheet_pdf(tags, start=start), tmp_path, 150)
    expected = [divmod(start - 1 + index, 21) for index in range(2)]
    assert len(pages) == expected[-1][0] + 1
    for tag, (number, place) in zip(tags, expected, strict=True):
        (code,) = [found for found in zxingcpp.read_barcodes(pages[number]) if found.text == tag.address]
        left, top = grid(Paper.A4).corner(place)
        x, y = (value * 25.4 / 150 for value in (code.position.top_left.x, code.position.top_left.y))
        assert left < x < left + 31
        assert top < y < top + 31


@pytest.mark.parametrize("start", [0, -3, 22])
def test_it_says_which_places_a_sheet_has(start: int) -> None:
    with pytest.raises(Refused) as caught:
        sheet_pdf([TAG], start=start)
    assert caught.value.code == "out_of_range"
    assert caught.value.reasons[0].facts["high"] == 21


def test_it_says_when_there_is_nothing_to_print() -> None:
    for draw in (tag_pdf, sheet_pdf):
        with pytest.raises(Refused, match="labels_none"):
            draw([])
