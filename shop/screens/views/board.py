"""A board of the library: what sits on it, entered by taps on its photo, by figures or by a table."""

from functools import partial
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from shop.boards.fastener_table import write_fasteners
from shop.boards.models import BoardPicture
from shop.boards.placement_table import write_placements
from shop.boards.queries import board, revision_of, selecting_nothing
from shop.boards.spots import Fit, Kind, Points
from shop.boards.table_actions import import_fasteners, import_placements
from shop.core.actor import Actor
from shop.core.files import only_to_look_at
from shop.core.reasons import Refused
from shop.floor.at_bench import board_svg
from shop.screens.http import act, no_such_act, page, staff_page
from shop.screens.tapping import tap_picture
from shop.screens.verbs.boards import BOARD_VERBS

_MOST_SHOWN = 400
_PARTS = {"fastener": "case", "fastener-out": "case", "fasteners": "case", "placement-out": "placements"}


@require_safe
@staff_page("boards.see")
def board_page(request: HttpRequest, _actor: Actor, revision_id: UUID) -> HttpResponse:
    """Show a board."""
    return _board(request, revision_id)


def _board(request: HttpRequest, revision_id: UUID, reasons: Any = (), **more: Any) -> HttpResponse:
    known = board(revision_of(revision_id))
    context = {
        "board": known,
        "revision": known.revision,
        "edition": known.edition,
        "drawing": board_svg(known, [], None),
        "spots": known.spots[:_MOST_SHOWN],
        "hidden_spots": max(len(known.spots) - _MOST_SHOWN, 0),
        "taps": [tap for shows in BoardPicture.Shows.values if (tap := tap_picture(known, shows))],
        "shows": BoardPicture.Shows.choices,
        "kinds": [kind.value for kind in Kind],
        "fits": [fit.value for fit in Fit],
        "points": [points.value for points in Points],
        "idle": selecting_nothing(known) if known.spots else (),
        "typed": request.POST,
    }
    return page(request, "screens/board.html", context | more, reasons=reasons)


@require_POST
@staff_page("boards.change")
def board_do(request: HttpRequest, actor: Actor, revision_id: UUID, verb: str) -> HttpResponse:
    """Do one thing to a board; a table is first looked at line by line, and written on the second press."""
    if verb in _LOOKS and "write" not in request.POST:
        return _look(request, actor, revision_id, verb)

    def perform(post: QueryDict) -> str:
        if verb not in BOARD_VERBS:
            raise no_such_act(verb)
        BOARD_VERBS[verb](actor, revision_id, post, request.FILES)
        return f"{reverse('screens:board', args=[revision_id])}#{_part(verb, post)}"

    return act(request, actor, perform, partial(_board, revision_id=revision_id))


def _part(verb: str, post: QueryDict) -> str:
    """Return the part of the page that a form came from."""
    if verb in ("placement", "point", "picture"):
        return f"tap-{post.get('shows', 'top')}" if post.get("shows", "top").isalpha() else "placements"
    return _PARTS.get(verb, "placements")


_LOOKS = ("placements", "fasteners")


def _look(request: HttpRequest, actor: Actor, revision_id: UUID, verb: str) -> HttpResponse:
    """Show what a table would do to each line."""
    post, upload = request.POST, request.FILES.get("file")
    try:
        text = _decoded(upload.read()) if upload else post.get("table", "")
        if verb == "placements":
            looked = import_placements(actor=actor, revision_id=revision_id, text=text, unit=post.get("unit", ""))
        else:
            looked = import_fasteners(actor=actor, revision_id=revision_id, text=text)
    except Refused as refused:
        return _board(request, revision_id, reasons=refused.reasons)
    told = [line for line in looked.lines if line.change != "same"]
    return _board(
        request, revision_id, looked=looked, told=told[:_MOST_SHOWN], untold=len(told[_MOST_SHOWN:]), table=text,
        table_of=verb, table_unit=post.get("unit", ""),
    )  # fmt: skip


def _decoded(raw: bytes) -> str:
    """Return a file's text: UTF-8 with or without its mark, UTF-16 with one, else the one that old programs write."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", errors="replace")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")


@require_safe
@staff_page("boards.see")
def board_table(_request: HttpRequest, _actor: Actor, revision_id: UUID, what: str) -> HttpResponse:
    """Return placements or fasteners as a table."""
    known = board(revision_of(revision_id))
    text = write_placements(known.spots) if what == "placements" else write_fasteners(known.screws)
    return only_to_look_at(text.encode(), "text/csv; charset=utf-8", f"{what}-{slugify(known.revision.marking)}.csv")
