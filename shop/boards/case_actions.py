"""What holds a case is entered by these, one group of fasteners at a time."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from shop.boards.amending import amended_screw
from shop.boards.checking import checked_screw
from shop.boards.entries import edition_to_write, take_out, write_screw
from shop.boards.models import BoardEdition, CaseFastener
from shop.boards.spots import Screw
from shop.core import trail
from shop.core.actor import Actor, permit


def put_fastener(*, actor: Actor, revision_id: UUID | str, screw: Screw) -> CaseFastener:
    """Enter a group of fasteners of the case, or change the one with its label, and return it.

    Raises Missing, Refused: `label_malformed`, `out_of_range`, `mm_impossible`, `fastener_off_case`,
    `places_too_many`, `blank`, `too_long`.
    """
    permit(actor, "boards.change")
    with transaction.atomic():
        return _put(actor, edition_to_write(revision_id), screw)


def amend_fastener(
    *,
    actor: Actor,
    revision_id: UUID | str,
    label: str,
    given: Mapping[str, Any],
    place_mm: tuple[float, float] | None = None,
) -> CaseFastener:
    """Change the given fields of a group of fasteners, or enter it with them; what is not given stays.

    place_mm is one more place on the case outline. Raises as above.
    """
    permit(actor, "boards.change")
    with transaction.atomic():
        edition = edition_to_write(revision_id)
        row = CaseFastener.objects.filter(edition=edition, label=label.strip().upper()).first()
        return _put(actor, edition, amended_screw(row.screw if row else None, label, given, place_mm))


def _put(actor: Actor, edition: BoardEdition, screw: Screw) -> CaseFastener:
    good = checked_screw(screw, edition)
    row, added = write_screw(edition, good)
    facts = {"edition": edition.number, "label": good.label, "count": good.count, "added": added}
    trail.write(edition.revision, actor, "case_fastener_put", after=good.label, facts=facts)
    return row


def take_fastener_out(*, actor: Actor, revision_id: UUID | str, label: str) -> BoardEdition:
    """Take a group of fasteners out of the library; editions in use keep it. Raises Missing."""
    permit(actor, "boards.change")
    with transaction.atomic():
        edition = edition_to_write(revision_id)
        take_out(CaseFastener.objects.filter(edition=edition, label=label), _("fasteners"), label)
        facts = {"edition": edition.number}
        trail.write(edition.revision, actor, "case_fastener_out", before=label[:3], facts=facts)
    return edition
