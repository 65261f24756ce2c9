"""What is done to a board of the library, as forms post it."""

from collections.abc import Callable
from enum import StrEnum
from typing import Any
from uuid import UUID

from django.http import QueryDict

from shop.boards import board_actions as boards
from shop.boards.case_actions import amend_fastener, take_fastener_out
from shop.boards.models import BoardPicture
from shop.boards.placement_actions import amend_placement, take_placement_out
from shop.boards.queries import Board, board, revision_of
from shop.boards.spots import Fit, Kind, Mount, Points, Side
from shop.boards.table_actions import import_fasteners, import_placements
from shop.core.actor import Actor
from shop.core.reasons import Reason, Refused
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
    x, y = given_length(post, "x", "x"), given_length(post, "y", "y")
    if x is None or y is None:
        raise Refused(Reason("point_needs_place", {}, "x"))
    px, py = tapped_px(post, _known(revision_id).pictures.get(shows))
    boards.put_point(actor=actor, revision_id=revision_id, shows=shows, point=(px, py, x, y))


_WORDS = ("value", "rating", "note")
_CHOICES: dict[str, type[StrEnum]] = {"kind": Kind, "mount": Mount, "positive": Points, "fit": Fit}
_LENGTHS = {"x_mm": "x", "y_mm": "y", "width_mm": "width", "depth_mm": "depth", "height_mm": "height"}


def placement(actor: Actor, revision_id: UUID, post: QueryDict, _files: Files) -> None:
    """Enter a placement by a tap or by its figures, or change what the form says of one that is there."""
    shows = post.get("shows", "top")
    given: dict[str, Any] = {name: post[name] for name in _WORDS if post.get(name)}
    given |= {name: _chosen(post, name, of) for name, of in _CHOICES.items() if post.get(name)}
    given |= {name: given_length(post, field, field) for name, field in _LENGTHS.items() if post.get(field)}
    if place := tapped_mm(post, _known(revision_id), shows):
        given |= {"x_mm": place[0], "y_mm": place[1]}
    if "x_mm" in given or "y_mm" in given:
        given["side"] = Side.BOTTOM if shows == "bottom" else Side.TOP
    if variants := given_list(post, "variants"):
        given |= {"variants": tuple(variants), "fit": Fit.VARIANT}
    if "positive" in given:
        given["positive_checked"] = True  # somebody looks at the board while saying so
    amend_placement(
        actor=actor, revision_id=revision_id, designator=post.get("designator", ""), given=given
    )  # fmt: skip


def _chosen(post: QueryDict, name: str, of: type[StrEnum]) -> StrEnum:
    return of(choice(post.get(name, ""), [value.value for value in of], label=name, field=name))


def placement_out(actor: Actor, revision_id: UUID, post: QueryDict, _files: Files) -> None:
    """Take a placement out."""
    take_placement_out(actor=actor, revision_id=revision_id, designator=post.get("designator", ""))


def fastener(actor: Actor, revision_id: UUID, post: QueryDict, _files: Files) -> None:
    """Enter a group of fasteners or change what the form says of one; a tap adds a place to it."""
    given: dict[str, Any] = {
        name: post[name] for name in ("where", "drive", "bit", "thread", "warning") if post.get(name)
    }
    given |= {name: given_number(post, name, name) for name in ("count", "order") if post.get(name)}
    if post.get("length"):
        given["length_mm"] = given_length(post, "length", "Length")
    amend_fastener(
        actor=actor,
        revision_id=revision_id,
        label=post.get("label", ""),
        given=given,
        place_mm=tapped_mm(post, _known(revision_id), BoardPicture.Shows.CASE),
    )


def fastener_out(actor: Actor, revision_id: UUID, post: QueryDict, _files: Files) -> None:
    """Take a group of fasteners out."""
    take_fastener_out(actor=actor, revision_id=revision_id, label=post.get("label", ""))


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
