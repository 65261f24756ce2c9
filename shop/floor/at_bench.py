"""What a unit's bench shows besides its sheet: the board with the present step on it, the case with its fasteners."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from shop.boards.models import BoardPicture
from shop.boards.queries import Board, board
from shop.boards.spots import Screw, Side, Spot
from shop.boards.straighten import Known, straighten
from shop.floor.extent import extent
from shop.units.models import Finding, Unit
from shop.work import outline
from shop.work.bench_picture import Scene, draw, draw_case
from shop.work.models import FastenerGroup, JobStep
from shop.work.order import FITTING
from shop.work.queries import known_screws, present_step

_MANY = 4  # of more placements than this none is the present one: the step is about all of them


@dataclass(frozen=True, slots=True)
class Group:
    """A group of fasteners as the bench sees it: what the library knows, and how it stands in the account."""

    screw: Screw
    account: FastenerGroup | None

    @property
    def in_case(self) -> bool:
        """Tell whether the group is where it belongs: not taken out yet, or all back."""
        return self.account is None or (self.account.back > 0 and self.account.missing == 0)

    @property
    def state(self) -> str:
        """Return how the group stands, in words."""
        if self.account is None:
            return _("in the case")
        if self.account.missing == 0:
            return _("back in place")
        return _("{n} out").format(n=self.account.missing)


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchView:
    """The two drawings as SVG, empty where nothing is known, and the groups of fasteners to tap."""

    board: str
    case: str
    groups: tuple[Group, ...]
    known: bool
    edition: int | None
    variants: tuple[str, ...]


def bench_view(unit: Unit, sheet: Sequence[JobStep], accounts: Sequence[FastenerGroup]) -> BenchView:
    """Return what the bench shows of a unit now. sheet and accounts are the unit's own, already read."""
    known = board(unit.revision, unit.edition) if unit.revision else None
    screws = known.screws if known and known.screws else known_screws(unit)
    by_label = {account.label: account for account in accounts if account.label}
    groups = tuple(Group(screw, by_label.get(screw.label)) for screw in screws)
    step = present_step(sheet)
    return BenchView(
        board=board_svg(known, sheet, step) if known else "",
        case=_case_svg(known, groups, closing=step is not None and step.code in outline.CLOSE_UP),
        groups=groups,
        known=bool(known and known.spots),
        edition=known.edition.number if known and known.edition else None,
        variants=tuple(known.edition.variants) if known and known.edition else (),
    )


def board_svg(
    known: Board, sheet: Sequence[JobStep], step: JobStep | None, findings: Sequence[Finding] = (), *, side: str = ""
) -> str:
    """Return the board as the present step shows it, with findings as places of their own; empty without any place."""
    found = [_as_spot(number, finding) for number, finding in enumerate(findings, 1) if _placed(finding)]
    spots = [*known.spots, *found]
    size = (known.edition.size_mm if known.edition else None) or extent(spots)
    if size is None:
        return ""
    present = frozenset(step.refs) if step and len(step.refs) <= _MANY else frozenset()
    wanted = frozenset(step.refs if step and step.refs else _fitted_by(sheet))
    shown = Side(side) if side else _side_of(known.spots, present or wanted)
    picture = known.pictures.get(shown.value)
    scene = Scene(
        width_mm=size[0],
        height_mm=size[1],
        spots=spots,
        present=present,
        wanted=wanted | frozenset(spot.designator for spot in found),
        done=_done(sheet, step),
        side=shown,
        **_photo(picture, size),
    )
    return draw(scene)


def _fitted_by(sheet: Sequence[JobStep]) -> set[str]:
    return {ref for step in sheet if step.code in FITTING for ref in step.refs}


def _done(sheet: Sequence[JobStep], step: JobStep | None) -> frozenset[str]:
    """Return what is done of what the present step belongs to: fitted parts stay ticked while others are fitted."""
    codes = FITTING if step is None or step.code in FITTING else (step.code,)
    return frozenset(ref for each in sheet if each.code in codes and each.done_at for ref in each.refs)


def _side_of(spots: Sequence[Spot], about: frozenset[str]) -> Side:
    sides = {spot.side for spot in spots if spot.designator in about}
    return Side.BOTTOM if sides == {Side.BOTTOM} else Side.TOP


def _placed(finding: Finding) -> bool:
    return finding.x_mm is not None and finding.settled_at is None


def _as_spot(number: int, finding: Finding) -> Spot:
    """Return an open finding as a place to be drawn."""
    kind = str(finding.get_kind_display())
    side = Side(finding.side) if finding.side else Side.TOP
    return Spot(designator=f"!{number}", value=kind, x_mm=finding.x_mm, y_mm=finding.y_mm, side=side)


def _photo(picture: BoardPicture | None, size: tuple[float, float]) -> dict[str, Any]:
    """Return what a drawing needs to lay the photo under it; nothing while it is not known how the photo lies."""
    if picture is None or len(picture.known) != 2:
        return {}
    mirrored = picture.shows == BoardPicture.Shows.BOTTOM
    one, other = (Known((px, py), (x, y)) for px, py, x, y in picture.known)
    return {
        "photo": reverse("screens:photo", args=[picture.photo_id]),
        "photo_size": (picture.photo.width_px, picture.photo.height_px),
        "photo_matrix": straighten(one, other, mirrored=mirrored).svg_transform(*size),
    }


def _case_svg(known: Board | None, groups: Sequence[Group], *, closing: bool) -> str:
    """Return the case with its fasteners; the present group is the next to come out, or to go back."""
    screws = [group.screw for group in groups]
    size = (known.edition.case_mm if known and known.edition else None) or extent(screws)
    if not screws or size is None:
        return ""
    out = [group.screw.label for group in groups if group.in_case]
    back = [group.screw.label for group in reversed(groups) if group.account and group.account.missing]
    turn = back if closing or not out else out
    state = {group.screw.label: group.state for group in groups}
    picture = known.pictures.get(BoardPicture.Shows.CASE) if known else None
    return draw_case(size[0], size[1], screws, turn[0] if turn else "", state, **_photo(picture, size))
