"""A board is described by these: how it is told from others, its size and variants, the photos under it.

Each writes to the newest edition, or to a copy of it once units are worked from that (`editions.py`). What sits on it
is entered by `placement_actions.py`, what holds its case by `case_actions.py`, both by tables in `table_actions.py`.
"""

from collections.abc import Sequence
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from shop.boards.checking import checked_screw, checked_spot, millimetres
from shop.boards.entries import edition_to_write
from shop.boards.models import BoardEdition, BoardPicture, BoardRevision, CaseFastener, Placement
from shop.boards.straighten import Known, PointsTooClose, straighten
from shop.core import trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock
from shop.core.models import Photo
from shop.core.reasons import Reason, Refused
from shop.core.rows import existing, no_such
from shop.core.text import choice, line, whole, words

_MOST_VARIANTS = 12
_LARGEST_MM = 1000
KnownPoint = tuple[float, float, float, float]


def describe_revision(
    *, actor: Actor, revision_id: UUID | str, how_to_tell: str, year: str = "", photo_id: UUID | None = None
) -> BoardRevision:
    """Say how a board is told from the others: words, the year on it, a photo of the marking. Raises Missing, Refused.

    Without a photo the one that is there stays.
    """
    permit(actor, "boards.change")
    with transaction.atomic():
        revision = lock(BoardRevision, pk=revision_id)
        revision.how_to_tell = words(how_to_tell, label=_("How to tell it"), field="how_to_tell", required=False)
        revision.year = line(year, label=_("Year"), field="year", limit=20, required=False)
        revision.photo_id = _photo(photo_id) or revision.photo_id
        revision.save(update_fields=["how_to_tell", "year", "photo"])
        trail.write(revision, actor, "revision_described", facts={"photo": revision.photo_id})
    return revision


def measure_board(
    *,
    actor: Actor,
    revision_id: UUID | str,
    board_mm: tuple[float, float] | None = None,
    case_mm: tuple[float, float] | None = None,
    variants: Sequence[str] = (),
) -> BoardEdition:
    """Say how large the board and the case outline are (width, height in mm; None: not known), and its variants.

    Raises Missing, Refused: `mm_impossible`, `placement_off_board` or `fastener_off_case` (what is on it would not be
    any more), `too_long`.
    """
    permit(actor, "boards.change")
    whole(len(variants), low=0, high=_MOST_VARIANTS, label=_("Number of variants"), field="variants")
    named = [line(variant, label=_("Variant"), field="variants", limit=30) for variant in variants]
    with transaction.atomic():
        edition = edition_to_write(revision_id)
        edition.width_mm, edition.height_mm = _size(board_mm, "board_mm")
        edition.case_width_mm, edition.case_height_mm = _size(case_mm, "case_mm")
        edition.variants = named
        for row in Placement.objects.filter(edition=edition):
            checked_spot(row.spot, edition)
        for fastener in CaseFastener.objects.filter(edition=edition):
            checked_screw(fastener.screw, edition)
        edition.save()
        facts = {"edition": edition.number, "board_mm": board_mm, "case_mm": case_mm}
        trail.write(edition.revision, actor, "board_measured", facts=facts)
    return edition


def put_picture(
    *, actor: Actor, revision_id: UUID | str, shows: str, photo_id: UUID | None, known: Sequence[KnownPoint] = ()
) -> BoardPicture:
    """Lay a photo under a side of the board or under the case; without a photo, straighten the one that is there.

    known are up to two points, each (x, y in pixels of the stored photo from its top left, x, y in mm from the lower
    left corner of what it shows). Raises Missing, Refused: `points_too_many`, `points_too_close`, `not_a_choice`.
    """
    permit(actor, "boards.change")
    choice(shows, BoardPicture.Shows.values, label=_("What it shows"), field="shows")
    _refuse_odd_points(known)
    with transaction.atomic():
        edition = edition_to_write(revision_id)
        row = BoardPicture.objects.filter(edition=edition, shows=shows).first()
        row = row or BoardPicture(edition=edition, shows=shows)
        row.photo_id = _photo(photo_id) or row.photo_id
        if row.photo_id is None:
            raise Refused(Reason("blank", {"label": _("Picture")}, "photo"))
        row.known = [list(point) for point in known]
        row.save()
        facts = {"edition": edition.number, "shows": shows, "photo": row.photo_id, "points": len(known)}
        trail.write(edition.revision, actor, "board_pictured", facts=facts)
    return row


def put_point(*, actor: Actor, revision_id: UUID | str, shows: str, point: KnownPoint) -> BoardPicture:
    """Say where one point of a photo is: the first, or the second, which straightens it; a third begins anew.

    Raises Missing when no photo is laid there, and what `put_picture` refuses.
    """
    permit(actor, "boards.change")
    with transaction.atomic():
        laid = BoardPicture.objects.filter(edition=edition_to_write(revision_id), shows=shows).first()
        if laid is None:
            raise no_such(BoardPicture, shows[:12])
        kept: list[KnownPoint] = [(px, py, x, y) for px, py, x, y in laid.known] if len(laid.known) == 1 else []
        known = [*kept, point]
        return put_picture(actor=actor, revision_id=revision_id, shows=shows, photo_id=None, known=known)


def _photo(photo_id: UUID | None) -> UUID | None:
    return existing(Photo, photo_id, field="photo").pk if photo_id else None


def _size(given_mm: tuple[float, float] | None, field: str) -> tuple[float | None, float | None]:
    if given_mm is None:
        return None, None
    width, height = (millimetres(side, low=5, high=_LARGEST_MM, label=_("Size"), field=field) for side in given_mm)
    return width, height


def _refuse_odd_points(known: Sequence[KnownPoint]) -> None:
    if len(known) > 2:
        raise Refused(Reason("points_too_many", {"count": len(known)}, "known"))
    if len(known) == 2:
        one, other = (Known((px, py), (x, y)) for px, py, x, y in known)
        try:
            straighten(one, other)
        except PointsTooClose:
            raise Refused(Reason("points_too_close", {}, "known")) from None
