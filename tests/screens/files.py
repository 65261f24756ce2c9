"""Files that somebody might send."""

import io

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

GPS, LATITUDE = 0x8825, 2
SECRET = b"a comment that tells where"


def picture(kind: str = "JPEG", *, size: tuple[int, int] = (64, 48), located: bool = False) -> SimpleUploadedFile:
    """A small picture, on request with the place where it was taken and a comment in its metadata."""
    out = io.BytesIO()
    exif = Image.Exif()
    if located:
        exif.get_ifd(GPS)[LATITUDE] = (51.0, 28.0, 38.0)
        exif[0x010E] = SECRET.decode()
    Image.new("RGB", size, "#7a6a2f").save(out, kind, exif=exif)
    return SimpleUploadedFile(f"picture.{kind.lower()}", out.getvalue(), f"image/{kind.lower()}")


def label(content: bytes, name: str = "label.png") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, "image/png")


def no_picture(content: bytes, name: str = "photo.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, "image/jpeg")
