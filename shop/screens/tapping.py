"""Taps on a picture without script: an image that sends a form, and where on the board that was.

A browser sends the place of a tap in CSS pixels of the image as it is shown, so it is shown at a width that the server
knows, in a box that scrolls; pinching the page changes nothing about them.
"""

from dataclasses import dataclass

from django.http import QueryDict
from django.urls import reverse

from shop.boards.models import BoardPicture
from shop.boards.queries import Board
from shop.boards.straighten import Known, Straight, straighten
from shop.core.reasons import Reason, Refused
from shop.core.rows import no_such

SHOWN_PX = 1000
Place = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class TapPicture:
    """A picture to tap: its address, the size it is shown at in CSS pixels, and marks as (x, y, label) on it.

    lies tells how the photo lies on what it shows, once two points of it are known.
    """

    shows: str
    src: str
    width: int
    height: int
    marks: tuple[tuple[float, float, str], ...] = ()
    lies: Straight | None = None


def tap_picture(board: Board, shows: str) -> TapPicture | None:
    """Return the photo of a board's side or of the case, with what is entered marked; None when there is no photo."""
    picture = board.pictures.get(shows)
    if picture is None:
        return None
    scale = SHOWN_PX / picture.photo.width_px
    lies = _lies(picture)
    marks = tuple((px * scale, py * scale, label) for (px, py), label in _marks(board, shows, lies)) if lies else ()
    known = tuple((px * scale, py * scale, f"({x:g}, {y:g})") for px, py, x, y in picture.known)
    return TapPicture(
        shows=shows,
        src=reverse("screens:photo", args=[picture.photo_id]),
        width=SHOWN_PX,
        height=round(picture.photo.height_px * scale),
        marks=marks or known,
        lies=lies,
    )


def _lies(picture: BoardPicture) -> Straight | None:
    if len(picture.known) != 2:
        return None
    one, other = (Known((px, py), (x, y)) for px, py, x, y in picture.known)
    return straighten(one, other, mirrored=picture.shows == BoardPicture.Shows.BOTTOM)


def _marks(board: Board, shows: str, lies: Straight) -> list[tuple[Place, str]]:
    if shows == BoardPicture.Shows.CASE:
        return [(lies.to_px(place), screw.label) for screw in board.screws for place in screw.places_mm]
    placed = [spot for spot in board.spots if spot.side == shows and spot.x_mm is not None and spot.y_mm is not None]
    return [(lies.to_px((spot.x_mm, spot.y_mm)), spot.designator) for spot in placed]  # type: ignore[arg-type]


def tapped_px(post: QueryDict, picture: BoardPicture | None) -> Place:
    """Return where the stored photo was tapped, in its own pixels. Raises Missing, Refused with `tap_missing`."""
    if picture is None:
        raise no_such(BoardPicture, "–")
    try:
        x, y = int(post.get("at.x", "")), int(post.get("at.y", ""))
    except ValueError:
        raise Refused(Reason("tap_missing", {}, "at")) from None
    scale = picture.photo.width_px / SHOWN_PX
    return x * scale, y * scale


def tapped_mm(post: QueryDict, board: Board, shows: str) -> Place | None:
    """Return where a form's picture was tapped, in mm of the board, or None when it was sent by another button.

    Raises Refused: `picture_not_straight` when nobody knows yet how the photo lies.
    """
    picture = board.pictures.get(shows)
    if picture is None or "at.x" not in post:
        return None
    lies = _lies(picture)
    if lies is None:
        raise Refused(Reason("picture_not_straight", {}, "at"))
    x, y = lies.to_mm(tapped_px(post, picture))
    return round(x, 1), round(y, 1)
