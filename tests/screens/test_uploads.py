"""Pictures: what is taken, what is left of it, and how it is served."""

import io
import struct
import zlib

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image
from pytest_django import Settings

from shop.core.models import Photo
from shop.core.photos import path_of
from shop.units.models import UnitPhoto
from tests.screens.browsing import Browser, said
from tests.screens.conftest import At
from tests.screens.files import SECRET, no_picture, picture


def _flood() -> bytes:
    """A PNG of a few bytes that announces 40,000 by 40,000 pixels."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = struct.pack(">IIBBBBB", 40_000, 40_000, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 99)) + chunk(b"IEND", b"")


BAD = {
    "words": b"hello, I am a picture",
    "nothing": b"",
    "a page": b"<html><script>alert(1)</script></html>",
    "a drawing": b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
    "half a picture": picture().read()[:200],
    "a flood": _flood(),
}


@pytest.mark.parametrize("what", BAD)
@pytest.mark.parametrize("verb", ["photo", "finding", "incident"])
def test_it_refuses_what_is_no_picture(as_owner: Browser, unit_at: At, what: str, verb: str) -> None:
    unit = unit_at("diagnosis")
    photos, findings = Photo.objects.count(), unit.findings.count()
    fields = {"purpose": "other", "kind": "smoke", "words": "It smells", "offer": "A clean"}
    answer = as_owner.do(unit, verb, photo=no_picture(BAD[what]), **fields)
    if what == "nothing" and verb != "photo":
        assert answer.status_code in (303, 422)  # an empty file is as good as none
        return
    assert answer.status_code == 422
    assert said(answer)
    assert (Photo.objects.count(), unit.findings.count()) == (photos, findings)


def test_it_asks_for_a_picture_when_none_came(as_owner: Browser, unit_at: At) -> None:
    unit = unit_at("intake")
    assert "Picture is empty" in said(as_owner.do(unit, "photo", purpose="other"))
    assert "Picture is empty" in said(as_owner.do(unit, "photo", purpose="other", photo="a text and no file"))


def test_it_refuses_a_picture_of_too_many_bytes(as_owner: Browser, unit_at: At, settings: Settings) -> None:
    settings.PHOTO_LIMIT_BYTES = 2 * 1024 * 1024
    big = picture().read() + b"\0" * 2 * 1024 * 1024
    answer = as_owner.do(unit_at("intake"), "photo", purpose="other", photo=no_picture(big))
    assert answer.status_code == 422
    assert "at most 2 MB" in said(answer)


def test_it_keeps_of_a_picture_nothing_but_the_picture(as_owner: Browser, unit_at: At) -> None:
    """No place where it was taken, no words, no second file behind it."""
    unit = unit_at("intake")
    sent = picture(located=True).read() + b"PK\x03\x04 a second life"
    assert SECRET in sent
    name = "../../../etc/<script>.php"
    upload = SimpleUploadedFile(name, sent, "text/html")
    assert as_owner.do(unit, "photo", purpose="condition", photo=upload, for_customer="on").status_code == 303
    kept = UnitPhoto.objects.filter(unit=unit).latest("created_at").photo
    stored = path_of(kept.sha256).read_bytes()
    assert SECRET not in stored
    assert b"second life" not in stored
    with Image.open(io.BytesIO(stored)) as image:
        assert (image.format, dict(image.getexif())) == ("JPEG", {})


def test_it_serves_a_picture_so_that_it_can_only_be_looked_at(as_owner: Browser, unit_at: At) -> None:
    kept = UnitPhoto.objects.filter(unit=unit_at("intake")).first()
    assert kept is not None
    answer = as_owner.see("photo", kept.photo_id)
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert answer.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Disposition"].startswith("inline; filename=")
    assert answer.headers["Cache-Control"].startswith("private")


def test_it_has_no_picture_of_an_unknown_id(as_owner: Browser) -> None:
    assert as_owner.get("/photos/7c9e6679-7425-40de-944b-e07fc1f90ae7").status_code == 404
    assert as_owner.get("/photos/../../etc/passwd").status_code == 404


def test_it_says_so_when_a_picture_is_gone_from_the_disk(as_owner: Browser, unit_at: At) -> None:
    kept = UnitPhoto.objects.filter(unit=unit_at("intake")).first()
    assert kept is not None
    file = path_of(kept.photo.sha256)
    aside = file.rename(file.with_suffix(".away"))
    try:
        assert as_owner.see("photo", kept.photo_id).status_code == 404
    finally:
        aside.rename(file)
