"""What a flow needs of the library inside its transaction."""

from shop.boards.editions import latest
from shop.boards.models import BoardEdition, BoardRevision
from shop.core import clock
from shop.core.locks import lock


def use(revision_id: object) -> BoardEdition | None:
    """Return the newest edition of a board and note that a unit is worked from it, so that it never changes again.

    None when the library knows nothing of the board. Raises Missing.
    """
    edition = latest(lock(BoardRevision, pk=revision_id))
    if edition and edition.used_at is None:
        edition.used_at = clock.now()
        edition.save(update_fields=["used_at"])
    return edition
