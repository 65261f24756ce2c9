"""What sits on a board is entered by these, one placement at a time."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from shop.boards.amending import amended_spot
from shop.boards.checking import checked_spot
from shop.boards.designators import tidy
from shop.boards.entries import edition_to_write, take_out, write_spot
from shop.boards.models import BoardEdition, Placement
from shop.boards.spots import Spot
from shop.core import trail
from shop.core.actor import Actor, permit


def put_placement(*, actor: Actor, revision_id: UUID | str, spot: Spot) -> Placement:
    """Enter a placement, or change the one with its designator, and return it.

    Raises Missing, Refused: `designator_malformed`, `rating_impossible`, `placement_off_board`,
    `placement_half_placed`, `positive_missing`, `variant_unknown`, `too_long`.
    """
    permit(actor, "boards.change")
    with transaction.atomic():
        return _put(actor, edition_to_write(revision_id), spot)


def amend_placement(*, actor: Actor, revision_id: UUID | str, designator: str, given: Mapping[str, Any]) -> Placement:
    """Change the given fields of a placement, or enter it with them; what is not given stays. Raises as above."""
    permit(actor, "boards.change")
    with transaction.atomic():
        edition = edition_to_write(revision_id)
        row = Placement.objects.filter(edition=edition, designator=tidy(designator)).first()
        return _put(actor, edition, amended_spot(row.spot if row else None, designator, given))


def _put(actor: Actor, edition: BoardEdition, spot: Spot) -> Placement:
    good = checked_spot(spot, edition)
    row, added = write_spot(edition, good)
    facts = {"edition": edition.number, "designator": good.designator, "added": added}
    trail.write(edition.revision, actor, "placement_put", after=good.designator, facts=facts)
    return row


def take_placement_out(*, actor: Actor, revision_id: UUID | str, designator: str) -> BoardEdition:
    """Take a placement out of the library; editions that units are worked from keep it. Raises Missing."""
    permit(actor, "boards.change")
    with transaction.atomic():
        edition = edition_to_write(revision_id)
        take_out(Placement.objects.filter(edition=edition, designator=designator), _("placement"), designator)
        facts = {"edition": edition.number}
        trail.write(edition.revision, actor, "placement_out", before=designator[:12], facts=facts)
    return edition
