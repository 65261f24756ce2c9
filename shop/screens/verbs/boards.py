"""What is done to a board of the library, as forms post it."""

from collections.abc import Callable
from dataclasses import replace
from uuid import UUID

from django.http import QueryDict

from shop.boards import board_actions as boards
from shop.boards.models import BoardPicture
from shop.boards.queries import Board, board, revision_of
from shop.boards.spots import Fit, Kind, Mount, Points, Screw, Side, Spot
from shop.boards.table_actions import import_fasteners, import_placements
from shop.core.actor import Actor
from shop.core.reasons import Missing, Reason, Refused
from shop.core.text import choice
from shop.screens.tapping import tapped_mm, tapped_px
from shop.screens.verbs.common import Files, given_length, given_list, given_number, sent_photo

BoardVerb = Callable[[Actor, UUID, QueryDict, Files], None]


def _known(revision_id: UUID) -> Board:
    return board(revision_of(revision_id))


def describe(actor: Actor, revision_id: UUID, post: QueryDict, files: Files) -> None:
    """Say how it is told from the others."""
    boards.describe_revision(
        actor=actor,
        revision_id=revision_id,
        how_to_tell=post.get("how_to_tell", ""),
        year=post.get("year", ""),
        photo_id=sent_photo(actor, files),
    )


def measure(actor: Actor, revision_id: UUID, post: QueryDict, _files: Files) -> None:
    """Say how large board and case are, and which variants there are."""
    boards.measure_board(
        actor=actor,
        revision_id=revision_id,
        board_mm=_pair(post, "width", "height"),
        case_mm=_pair(post, "case_width", "case_height"),
        variants=given_list(post, "variants"),
    )


def _pair(post: QueryDict, across: str, up: str) -> tuple[float, float] | None:
    width, height = given_length(post, across, "Width"), given_length(post, up, "Height")
    if (width is None) != (height is None):
        raise Refused(Reason("size_half_given", {}, across if width is None else up))
    return None if width is None or height is None else (width, height)


def picture(actor: Actor, revision_id: UUID, post: QueryDict, files: Files) -> None:
    """Lay a photo under a side or the case."""
    boards.put_picture(
        actor=actor, revision_id=revision_id, shows=post.get("shows", ""), photo_id=sent_photo(actor, files)
    )  # fmt: skip


def point(actor: Actor, revision_id: UUID, post: QueryDict, _files: Files) -> None:
    """Tap a known point of a photo: the first, or the second, which straightens it."""
    shows = post.get("shows", "")
    laid = _known(revision_id).pictures.get(shows)
    if laid is None:
        raise Missing(Reason("missing", {"thing": str(BoardPicture._meta.verbose_name), "sought": shows[:12]}))
    x, y = given_length(post, "x", "x"), given_length(post, "y", "y")
    if x is None or y is None:
        raise Refused(Reason("point_needs_place", {}, "x"))
    kept = [tuple(each) for each in laid.known] if len(laid.known) == 1 else []
    known = [*kept, (*tapped_px(post, laid), x, y)]
    boards.put_picture(actor=actor, revision_id=revision_id, shows=shows, photo_id=None, known=known)


def placement(actor: Actor, revision_id: UUID, post: QueryDict, _files: Files) -> None:
    """Enter a placement by a tap or by its figures; one that is there keeps what the form does not say."""
    known = _known(revision_id)
    shows = post.get("shows", "top")
    place = tapped_mm(post, known, shows) or (given_length(post, "x", "x"), given_length(post, "y", "y"))
    fit = choice(post.get("fit", "fitted"), [fit.value for fit in Fit], label="Fitted", field="fit")
    spot = Spot(
        designator=post.get("designator", ""),
        value=post.get("value", ""),
        rating=post.get("rating", ""),
        kind=Kind(choice(post.get("kind", "other"), [kind.value for kind in Kind], label="Kind", field="kind")),
        mount=Mount(choice(post.get("mount", "through"), [m.value for m in Mount], label="Mount", field="mount")),
        x_mm=place[0],
        y_mm=place[1],
        width_mm=given_length(post, "width", "Width"),
        depth_mm=given_length(post, "depth", "Depth"),
        height_mm=given_length(post, "height", "Height"),
        positive=Points(choice(post.get("positive", ""), [p.value for p in Points], label="Plus", field="positive")),
        side=Side.BOTTOM if shows == "bottom" else Side.TOP,
        fit=Fit(fit),
        variants=tuple(given_list(post, "variants")),
        note=post.get("note", ""),
    )
    boards.put_placement(actor=actor, revision_id=revision_id, spot=spot)


def placement_out(actor: Actor, revision_id: UUID, post: QueryDict, _files: Files) -> None:
    """Take a placement out."""
    boards.take_placement_out(actor=actor, revision_id=revision_id, designator=post.get("designator", ""))


def fastener(actor: Actor, revision_id: UUID, post: QueryDict, _files: Files) -> None:
    """Enter a group of fasteners; a tap adds a place to the group that has the label already."""
    known = _known(revision_id)
    before = known.screw(post.get("label", "").strip().upper())
    place = tapped_mm(post, known, BoardPicture.Shows.CASE)
    if before and place:
        screw = _with_place(before, place)
    else:
        screw = _typed_screw(post, (place,) if place else before.places_mm if before else ())
    boards.put_fastener(actor=actor, revision_id=revision_id, screw=screw)


def _with_place(before: Screw, place: tuple[float, float]) -> Screw:
    places = (*before.places_mm, place)
    return replace(before, places_mm=places, count=max(before.count, len(places)))


def _typed_screw(post: QueryDict, places: tuple[tuple[float, float], ...]) -> Screw:
    return Screw(
        label=post.get("label", ""),
        where=post.get("where", ""),
        drive=post.get("drive", ""),
        bit=post.get("bit", ""),
        thread=post.get("thread", ""),
        length_mm=given_length(post, "length", "Length"),
        count=given_number(post, "count", "Count"),
        order=given_number(post, "order", "Order"),
        places_mm=places,
        warning=post.get("warning", ""),
    )


def fastener_out(actor: Actor, revision_id: UUID, post: QueryDict, _files: Files) -> None:
    """Take a group of fasteners out."""
    boards.take_fastener_out(actor=actor, revision_id=revision_id, label=post.get("label", ""))


def placements(actor: Actor, revision_id: UUID, post: QueryDict, _files: Files) -> None:
    """Import a table of placements that was looked at before."""
    table, unit = post.get("table", ""), post.get("unit", "")
    import_placements(actor=actor, revision_id=revision_id, text=table, unit=unit, dry_run=False)


def fasteners(actor: Actor, revision_id: UUID, post: QueryDict, _files: Files) -> None:
    """Import a table of fasteners that was looked at before."""
    import_fasteners(actor=actor, revision_id=revision_id, text=post.get("table", ""), dry_run=False)


BOARD_VERBS: dict[str, BoardVerb] = {
    "describe": describe,
    "measure": measure,
    "picture": picture,
    "point": point,
    "placement": placement,
    "placement-out": placement_out,
    "fastener": fastener,
    "fastener-out": fastener_out,
    "placements": placements,
    "fasteners": fasteners,
}
