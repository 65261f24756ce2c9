"""Looking up a row that has to be there."""

from typing import TypeVar
from uuid import UUID

from django.db.models import Model, QuerySet

from shop.core.reasons import Missing, Reason

M = TypeVar("M", bound=Model)


def existing(rows: type[M] | QuerySet[M], pk: UUID | str, *, field: str = "") -> M:
    """Return the row with this id, of a model or of the rows given. Raises Missing; field is where the id was asked."""
    among = rows if isinstance(rows, QuerySet) else rows._default_manager.all()
    row = among.filter(pk=pk).first()
    if row is None:
        raise no_such(among.model, pk, field)
    return row


def no_such(model: type[Model], sought: object, field: str = "") -> Missing:
    """Return the refusal for a row that is not there, which names it by what was sought."""
    return Missing(Reason("missing", {"thing": str(model._meta.verbose_name), "sought": sought}, field))
