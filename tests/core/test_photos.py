"""Pictures that come from strangers."""

import io
import struct
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.conf import settings
from django.db import connection
from hypothesis import given
from hypothesis import settings as limits
from hypothesis import strategies as st
from PIL import Image, PngImagePlugin
from pytest_django import Settings

from shop.core.actor import Actor
from shop.core.models import Photo
from shop.core.photos import add_photo, open_upright, path_of
from shop.core.reasons import Refused

ORIENTATION, GPS_IFD, MAKER = 0x0112, 0x8825, 0x010F


def file_of(picture: Image.Image, kind: str = "JPEG", **how: Any) -> io.BytesIO:
    out = io.BytesIO()
    picture.save(out, kind, **how)
    out.seek(0)
    return out


def half_red(width: int = 80, height: int = 40) -> Image.Image:
    """Red on the left, blue on the right."""
    picture = Image.new("RGB", (width, height), (20, 20, 220))
    picture.paste((220, 20, 20), (0, 0, width // 2, height))
    return picture


def png_that_claims(width: int, height: int) -> io.BytesIO:
    """A PNG of a few bytes that announces a size."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return io.BytesIO(b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0" * 64)) + chunk(b"IEND", b""))


@pytest.fixture
def keep(helper: Actor) -> Callable[[io.BytesIO], bytes]:
    def _keep(upload: io.BytesIO) -> bytes:
        return path_of(add_photo(actor=helper, upload=upload).sha256).read_bytes()

    return _keep


def test_it_keeps_no_word_about_where_and_with_what_a_picture_was_taken(keep: Callable[[io.BytesIO], bytes]) -> None:
    exif = Image.Exif()
    exif[MAKER] = "Quillon camera"
    exif.get_ifd(GPS_IFD).update({1: "N", 2: (51.0, 30.0, 0.0), 3: "W", 4: (0.0, 7.0, 0.0)})
    sent = file_of(half_red(), exif=exif, comment=b"taken at Ropewalk 4", xmp=b"<x:xmpmeta>Ropewalk</x:xmpmeta>")
    assert all(word in sent.getvalue() for word in (b"Quillon", b"Ropewalk", b"Exif"))
    kept = keep(sent)
    assert not any(word in kept for word in (b"Quillon", b"Ropewalk", b"Exif", b"xmpmeta"))
    with Image.open(io.BytesIO(kept)) as picture:
        assert picture.format == "JPEG"
        assert not dict(picture.getexif())
        assert "comment" not in picture.info


def test_it_keeps_no_text_of_a_png(keep: Callable[[io.BytesIO], bytes]) -> None:
    notes = PngImagePlugin.PngInfo()
    notes.add_text("Comment", "taken at Ropewalk 4")
    assert b"Ropewalk" not in keep(file_of(half_red(), "PNG", pnginfo=notes))


def test_it_turns_a_picture_upright(keep: Callable[[io.BytesIO], bytes]) -> None:
    """Orientation 6: turn by a quarter to the right, so what was left comes on top."""
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    with Image.open(io.BytesIO(keep(file_of(half_red(80, 40), exif=exif, quality=95)))) as picture:
        assert picture.size == (40, 80)
        pixels = np.asarray(picture)
    assert list(pixels[10, 20] > 180) == [True, False, False]
    assert list(pixels[70, 20] > 180) == [False, False, True]


def test_it_shows_white_where_a_picture_was_transparent(keep: Callable[[io.BytesIO], bytes]) -> None:
    with Image.open(io.BytesIO(keep(file_of(Image.new("RGBA", (20, 20), (0, 0, 0, 0)), "PNG")))) as picture:
        assert np.asarray(picture).min() > 250


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "I;16"])
def test_it_takes_every_sort_of_png(mode: str, keep: Callable[[io.BytesIO], bytes]) -> None:
    with Image.open(io.BytesIO(keep(file_of(Image.new(mode, (30, 30)), "PNG")))) as picture:
        assert (picture.mode, picture.size) == ("RGB", (30, 30))


def test_it_makes_large_pictures_smaller(keep: Callable[[io.BytesIO], bytes]) -> None:
    with Image.open(io.BytesIO(keep(file_of(Image.new("RGB", (4800, 1200)))))) as picture:
        assert picture.size == (2400, 600)


def test_it_loses_what_was_appended_to_a_picture(keep: Callable[[io.BytesIO], bytes]) -> None:
    kept = keep(io.BytesIO(file_of(half_red()).getvalue() + b"PK\x03\x04<script>alert(1)</script>"))
    assert b"script" not in kept
    assert kept.endswith(b"\xff\xd9")


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"<!doctype html><script>alert(1)</script>",
        b"PK\x03\x04" + b"\0" * 60,
        b"%PDF-1.7\n",
        b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n",
        file_of(half_red(), "GIF").getvalue(),
        file_of(half_red(), "TIFF").getvalue(),
        file_of(half_red()).getvalue()[:300],
        file_of(half_red(), "PNG").getvalue()[:60],
    ],
    ids=["empty", "svg", "html", "zip", "pdf", "eps", "gif", "tiff", "half a jpeg", "half a png"],
)
@pytest.mark.django_db
def test_it_refuses_what_is_no_whole_picture_of_a_known_kind(data: bytes, helper: Actor) -> None:
    with pytest.raises(Refused, match="photo_unreadable"):
        add_photo(actor=helper, upload=io.BytesIO(data))
    assert not Photo.objects.exists()


@pytest.mark.parametrize("side", [7_800, 10_000, 60_000])
def test_it_refuses_a_flood_of_pixels_before_unpacking_it(side: int) -> None:
    with pytest.raises(Refused) as caught:
        open_upright(png_that_claims(side, side))
    assert caught.value.code == "photo_too_many_pixels"
    assert caught.value.reasons[0].facts["limit"] == settings.PHOTO_LIMIT_PIXELS // 10**6


def test_it_refuses_a_file_that_is_too_large_without_reading_on(settings: Settings) -> None:
    settings.PHOTO_LIMIT_BYTES = 1000
    upload = io.BytesIO(b"\xff" * 5000)
    with pytest.raises(Refused, match="photo_too_large"):
        open_upright(upload)
    assert upload.tell() == 1001


@pytest.mark.django_db
def test_it_keeps_equal_pictures_once(helper: Actor) -> None:
    first = add_photo(actor=helper, upload=file_of(half_red()))
    second = add_photo(actor=helper, upload=file_of(half_red()))
    assert first.pk != second.pk
    assert first.sha256 == second.sha256
    path = path_of(first.sha256)
    assert [file.name for file in path.parent.iterdir() if file.name.startswith(first.sha256)] == [path.name]


@pytest.mark.django_db
def test_it_has_the_file_on_the_disk_before_the_row(helper: Actor) -> None:
    there: list[bool] = []

    def watch(execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        if sql.startswith("INSERT") and "core_photo" in sql:
            there.append(any(path_of(str(value)).is_file() for value in params if len(str(value)) == 64))
        return execute(sql, params, many, context)

    with connection.execute_wrapper(watch):
        add_photo(actor=helper, upload=file_of(half_red(66, 22)))
    assert there == [True]


@pytest.mark.django_db
def test_it_leaves_no_half_written_file_behind(helper: Actor) -> None:
    photo = add_photo(actor=helper, upload=file_of(half_red(68, 24)))
    path = path_of(photo.sha256)
    assert photo.size_bytes == path.stat().st_size
    assert [file.suffix for file in Path(path.parent).iterdir()] == [".jpg"] * len(list(path.parent.iterdir()))


WHOLE = [file_of(half_red(24, 16), kind).getvalue() for kind in ("JPEG", "PNG", "WEBP")]


@limits(max_examples=150, deadline=None)
@given(st.sampled_from(WHOLE), st.lists(st.tuples(st.integers(0, 2000), st.integers(0, 255)), min_size=1, max_size=12))
def test_it_answers_every_broken_file_with_a_picture_or_a_refusal(whole: bytes, changes: list[tuple[int, int]]) -> None:
    broken = bytearray(whole)
    for place, value in changes:
        broken[place % len(broken)] = value
    try:
        answer = open_upright(io.BytesIO(bytes(broken))).mode
    except Refused as refusal:
        answer = refusal.code
    assert answer in ("RGB", "photo_unreadable", "photo_too_many_pixels")
