"""A small stored picture, for tests that need one and do not mind what it shows."""

import io

from PIL import Image

from shop.core.actor import Actor
from shop.core.models import Photo
from shop.core.photos import add_photo


def stored_photo(actor: Actor, size: tuple[int, int] = (8, 8)) -> Photo:
    file = io.BytesIO()
    Image.new("RGB", size, "green").save(file, "PNG")
    file.seek(0)
    return add_photo(actor=actor, upload=file)
