"""Which edition of a board may be written to. One that units are worked from is copied first, with all on it."""

from typing import Any

from shop.boards.models import BoardEdition, BoardPicture, BoardRevision, CaseFastener, Placement


def latest(revision: BoardRevision) -> BoardEdition | None:
    """Return the newest edition of a board, or None when the library knows nothing of it yet. One query."""
    return BoardEdition.objects.filter(revision=revision).order_by("-number").first()


def to_write(revision: BoardRevision) -> BoardEdition:
    """Return the edition of a locked revision that may be changed: the newest while no unit uses it, else a copy."""
    newest = latest(revision)
    if newest is None:
        return BoardEdition.objects.create(revision=revision, number=1)
    return newest if newest.used_at is None else _copy(newest)


def _copy(edition: BoardEdition) -> BoardEdition:
    new = BoardEdition.objects.create(
        revision=edition.revision,
        number=edition.number + 1,
        variants=edition.variants,
        **{name: getattr(edition, name) for name in ("width_mm", "height_mm", "case_width_mm", "case_height_mm")},
    )
    models: tuple[Any, ...] = (Placement, CaseFastener, BoardPicture)
    for model in models:
        kept = [field.attname for field in model._meta.concrete_fields if field.name not in _OWN]
        rows = model.objects.filter(edition=edition).values(*kept)
        model.objects.bulk_create([model(edition=new, **row) for row in rows], batch_size=500)
    return new


_OWN = ("id", "created_at", "edition")
