"""A photo of an invented board, drawn from what the library says of it: held a little askew, as a hand does."""

import io
from math import cos, radians, sin

from PIL import Image, ImageDraw

from shop.boards.board_actions import put_picture
from shop.boards.queries import board, revision_of
from shop.boards.spots import Fit, Kind, Spot
from shop.core.actor import Actor
from shop.core.photos import add_photo

_PX_PER_MM, _ASKEW_DEG, _MARGIN_PX = 8.0, 1.8, 70
_ROUND = (Kind.ELECTROLYTIC,)
_INK = {Kind.IC: "#1d1d1f", Kind.REGULATOR: "#26262a", Kind.CONNECTOR: "#d8d2c4", Kind.CRYSTAL: "#b9bcc2"}


class _Camera:
    """Where a place in mm lands in the photo."""

    def __init__(self, width_mm: float, height_mm: float) -> None:
        self.turn = radians(_ASKEW_DEG)
        self.height_mm = height_mm
        self.size = (
            int(width_mm * _PX_PER_MM + height_mm * _PX_PER_MM * sin(self.turn) + 2 * _MARGIN_PX),
            int(height_mm * _PX_PER_MM + width_mm * _PX_PER_MM * sin(self.turn) + 2 * _MARGIN_PX),
        )

    def px(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Return the pixel of a place on the board."""
        across, down = x_mm * _PX_PER_MM, (self.height_mm - y_mm) * _PX_PER_MM
        left = _MARGIN_PX + self.height_mm * _PX_PER_MM * sin(self.turn)
        return (
            left + across * cos(self.turn) - down * sin(self.turn),
            _MARGIN_PX + across * sin(self.turn) + down * cos(self.turn),
        )


def lay_photo_under(actor: Actor, revision_id: object) -> None:
    """Draw a board as its placements say, store that as its photo from above, and straighten it by two corners."""
    known = board(revision_of(str(revision_id)))
    assert known.edition is not None  # the boards were laid out just before
    assert known.edition.size_mm is not None
    width, height = known.edition.size_mm
    camera = _Camera(width, height)
    image = Image.new("RGB", camera.size, "#3a352c")
    pen = ImageDraw.Draw(image)
    pen.polygon([camera.px(x, y) for x, y in ((0, 0), (width, 0), (width, height), (0, height))], fill="#8d7a3a")
    for spot in known.spots:
        _draw(pen, camera, spot)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=82)
    out.seek(0)
    corners = [(*camera.px(x, 0), float(x), 0.0) for x in (0, width)]
    photo_id = add_photo(actor=actor, upload=out).id
    put_picture(actor=actor, revision_id=str(revision_id), shows="top", photo_id=photo_id, known=corners)


def _draw(pen: ImageDraw.ImageDraw, camera: _Camera, spot: Spot) -> None:
    if spot.x_mm is None or spot.y_mm is None:
        return
    half_x, half_y = (spot.width_mm or 5) / 2, (spot.depth_mm or 3) / 2
    corners = ((-half_x, -half_y), (half_x, -half_y), (half_x, half_y), (-half_x, half_y))
    if spot.fit == Fit.EMPTY:
        x, y = camera.px(spot.x_mm, spot.y_mm)
        pen.ellipse((x - half_x * 8, y - half_x * 8, x + half_x * 8, y + half_x * 8), outline="#e9e2cf", width=2)
    elif spot.kind in _ROUND:
        x, y = camera.px(spot.x_mm, spot.y_mm)
        radius = half_x * _PX_PER_MM
        pen.ellipse((x - radius, y - radius, x + radius, y + radius), fill="#3a3f46", outline="#9aa0a8", width=3)
        away = {"left": 0, "right": 180, "up": 90, "down": 270}.get(spot.positive, 0)  # the stripe marks the minus
        pen.pieslice((x - radius, y - radius, x + radius, y + radius), away - 28, away + 28, fill="#d9dde3")
    else:
        ink = _INK.get(spot.kind, "#c9b27a")
        pen.polygon([camera.px(spot.x_mm + dx, spot.y_mm + dy) for dx, dy in corners], fill=ink, outline="#14120e")
