"""Reading labels in photos, as phones take them at a bench."""

import io
import random

import cv2
import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFilter

from shop.core.reasons import Refused
from shop.units.label_draw import tag_png
from shop.units.labels import Tag
from shop.units.scanning import read_picture, read_scan

ADDRESS = "http://shop.test/t/K7Q2M9F"


def label(address: str = ADDRESS, width: int = 620) -> Image.Image:
    picture = Image.open(io.BytesIO(tag_png(Tag(address, "K7Q-2M9F~", "042", "Quillon Lantern", "AK", "unit"))))
    return picture.convert("L").resize((width, width * 40 // 62))


def photo_of(*labels: Image.Image) -> Image.Image:
    """Labels one above the other on a brown bench top."""
    ground = Image.new("RGB", (1600, 300 + 500 * len(labels)), (120, 90, 60))
    for place, picture in enumerate(labels):
        ground.paste(picture, (420, 150 + 500 * place))
    return ground


def upload(picture: Image.Image, kind: str = "JPEG") -> io.BytesIO:
    out = io.BytesIO()
    picture.save(out, kind, quality=75)
    out.seek(0)
    return out


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_it_reads_a_label_in_a_photo(kind: str) -> None:
    assert read_picture(upload(photo_of(label()), kind)) == ADDRESS


@pytest.mark.parametrize("degrees", [33, 90, 180, 200, 270, 315])
def test_it_reads_a_label_however_it_is_turned(degrees: int) -> None:
    assert read_picture(upload(photo_of(label()).rotate(degrees, expand=True))) == ADDRESS


def test_it_reads_a_label_seen_from_the_side() -> None:
    """As a phone sees it from low down on the left: the far side is two thirds as high."""
    picture = np.asarray(photo_of(label()))
    height, width = picture.shape[:2]
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], dtype=np.float32)
    seen = np.array(
        [[40, 20], [width * 0.8, height * 0.2], [width * 0.75, height * 0.85], [0, height]], dtype=np.float32
    )
    skewed = cv2.warpPerspective(picture, cv2.getPerspectiveTransform(corners, seen), (width, height))
    assert read_picture(upload(Image.fromarray(skewed))) == ADDRESS


def test_it_reads_a_label_in_a_dim_grainy_unsharp_photo() -> None:
    chance = random.Random(7)
    picture = photo_of(label()).filter(ImageFilter.GaussianBlur(2)).point(lambda value: 12 + value // 7)
    grain = Image.frombytes("L", picture.size, chance.randbytes(picture.width * picture.height))
    assert read_picture(upload(Image.blend(picture, grain.convert("RGB"), 0.04))) == ADDRESS


def test_it_reads_a_small_label_in_a_large_photo() -> None:
    ground = Image.new("RGB", (4000, 3000), (120, 90, 60))
    ground.paste(label(width=360), (2900, 2300))
    assert read_picture(upload(ground)) == ADDRESS


def test_it_reads_one_label_that_is_seen_twice() -> None:
    assert read_picture(upload(photo_of(label(), label()))) == ADDRESS


def test_it_prefers_a_tag_of_the_shop_to_other_codes() -> None:
    assert read_picture(upload(photo_of(label("https://example.com/manual"), label()))) == ADDRESS


def test_it_hands_on_a_strange_code_that_is_alone_so_that_it_can_be_named() -> None:
    text = read_picture(upload(photo_of(label("https://example.com/manual"))))
    with pytest.raises(Refused, match="scan_not_ours"):
        read_scan(text, by_machine=True)


def test_it_asks_for_one_label_when_there_are_two() -> None:
    with pytest.raises(Refused) as caught:
        read_picture(upload(photo_of(label(), label("http://shop.test/t/0A1B2C3"))))
    assert caught.value.code == "picture_many_codes"
    assert caught.value.reasons[0].facts["count"] == 2


def test_it_says_when_there_is_no_code() -> None:
    empty = Image.new("RGB", (900, 700), (200, 190, 170))
    ImageDraw.Draw(empty).ellipse((200, 200, 500, 500), fill=(30, 30, 30))
    with pytest.raises(Refused, match="picture_no_code"):
        read_picture(upload(empty))


@pytest.mark.parametrize("data", [b"", b"<svg/>", b"GIF89a"])
def test_it_says_when_the_file_is_no_picture(data: bytes) -> None:
    with pytest.raises(Refused, match="photo_unreadable"):
        read_picture(io.BytesIO(data))
