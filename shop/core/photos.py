"""Pictures: read with suspicion, re-encoded without their metadata, kept by the hash of their bytes.

What is stored is always a JPEG that this program wrote: no location, no script, no second life as another file type.
"""

import hashlib
import io
import os
import struct
import tempfile
import zlib
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from PIL import Image, ImageOps

from shop.core.actor import Actor, permit
from shop.core.models import Photo
from shop.core.reasons import Reason, Refused

_READ = ("JPEG", "PNG", "WEBP")
_LONGEST_SIDE_PX = 2400
_QUALITY = 85
_MB = 1024 * 1024
# What Pillow raises for files that are broken or made to break it, its own warning about floods apart.
_BROKEN = (
    OSError,
    ValueError,
    SyntaxError,
    EOFError,
    ArithmeticError,
    LookupError,
    TypeError,
    struct.error,
    zlib.error,
)
_FLOOD = (Image.DecompressionBombError, Image.DecompressionBombWarning)


def add_photo(*, actor: Actor, upload: BinaryIO) -> Photo:
    """Store one picture and return its row; the file is on the disk, synced, before the row exists.

    upload is a readable binary file of JPEG, PNG or WebP. Raises Refused: `photo_too_large`,
    `photo_too_many_pixels`, `photo_unreadable`.
    """
    permit(actor, "core.add_photo")
    data, size = _clean(upload)
    sha256 = hashlib.sha256(data).hexdigest()
    _write_synced(path_of(sha256), data)
    return Photo.objects.create(
        sha256=sha256, width_px=size[0], height_px=size[1], size_bytes=len(data), added_by=actor.id
    )


def path_of(sha256: str) -> Path:
    """Return where the picture with this hash lies."""
    return Path(settings.PHOTO_DIR) / sha256[:2] / f"{sha256}.jpg"


def stored_bytes(photo: Photo) -> bytes | None:
    """Return a stored picture's JPEG bytes, or None when its file is gone."""
    path = path_of(photo.sha256)
    return path.read_bytes() if path.is_file() else None


def open_upright(upload: BinaryIO) -> Image.Image:
    """Return an uploaded JPEG, PNG or WebP as an RGB picture, turned as its camera was held, without its metadata.

    Raises Refused: `photo_too_large`, `photo_too_many_pixels`, `photo_unreadable`.
    """
    raw = upload.read(settings.PHOTO_LIMIT_BYTES + 1)
    if len(raw) > settings.PHOTO_LIMIT_BYTES:
        limit_mb = settings.PHOTO_LIMIT_BYTES // _MB
        raise Refused(Reason("photo_too_large", {"size_mb": f"over {limit_mb}", "limit_mb": limit_mb}, "photo"))
    try:
        with Image.open(io.BytesIO(raw), formats=_READ) as image:
            _refuse_flood(image.width * image.height)
            upright = _on_white(ImageOps.exif_transpose(image))
    except _FLOOD:
        raise _flood("over 89") from None
    except _BROKEN:
        raise Refused(Reason("photo_unreadable", {}, "photo")) from None
    upright.info.clear()  # Pillow would write a comment found in there into the new file
    return upright


def _on_white(image: Image.Image) -> Image.Image:
    """Return the picture in RGB. What was transparent shows white, as on paper, and not whatever lay beneath."""
    if not image.has_transparency_data:
        return image.convert("RGB")
    layer = image.convert("RGBA")
    ground = Image.new("RGB", layer.size, "white")
    ground.paste(layer, mask=layer.getchannel("A"))
    return ground


def _clean(upload: BinaryIO) -> tuple[bytes, tuple[int, int]]:
    """Return the picture as fresh JPEG bytes, turned upright, at most 2400 px long, and its size in pixels."""
    upright = open_upright(upload)
    upright.thumbnail((_LONGEST_SIDE_PX, _LONGEST_SIDE_PX))
    out = io.BytesIO()
    upright.save(out, "JPEG", quality=_QUALITY, optimize=True)
    return out.getvalue(), upright.size


def _refuse_flood(pixels: int) -> None:
    """Look at the announced size before a single pixel is unpacked."""
    if pixels > settings.PHOTO_LIMIT_PIXELS:
        raise _flood(pixels // 10**6)


def _flood(millions: int | str) -> Refused:
    facts = {"pixels": millions, "limit": settings.PHOTO_LIMIT_PIXELS // 10**6}
    return Refused(Reason("photo_too_many_pixels", facts, "photo"))


def _write_synced(path: Path, data: bytes) -> None:
    """Write aside, sync, rename: a reader sees the whole file or none."""
    path.parent.mkdir(parents=True, exist_ok=True)
    if path.exists():
        return
    handle, aside = tempfile.mkstemp(dir=path.parent)
    with os.fdopen(handle, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    os.chmod(aside, 0o640)
    os.replace(aside, path)
    folder = os.open(path.parent, os.O_RDONLY)  # the name is on the disk only when its folder is
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
