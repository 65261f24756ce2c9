"""What may be wrong with the shop's machine, and how to mend it, in sentences.

Each check answers with one `Check`. What could not be found out is undecided, never ok.
"""

from collections.abc import Callable
from dataclasses import dataclass

from django.db import DatabaseError
from django.utils.translation import gettext as _

from shop.floor.doctor import machine, reach, services
from shop.floor.doctor.answer import Answer, State

CHECKS: dict[str, Callable[[], Answer]] = {
    "settings": machine.configuration,
    "data folder": machine.data_folder,
    "disk": machine.disk,
    "database": services.database,
    "tables": services.migrated,
    "clock": machine.machine_clock,
    "fonts": machine.fonts,
    "owner": reach.owner,
    "second step": reach.second_step,
    "broker": services.broker,
    "worker": services.worker,
    "background work": services.due_work,
    "mail": reach.mail,
    "labels": reach.labels,
    "cookies": reach.cookies,
}


@dataclass(frozen=True, slots=True)
class Check:
    """One thing that was looked at: a stable name, how it stands, and a sentence that says what is or what to do."""

    name: str
    state: State
    says: str


def examine(*only: str) -> list[Check]:
    """Make every check, or those named. Leaves nothing behind. Raises KeyError for a name that is none."""
    return [_made(name, CHECKS[name]) for name in only or CHECKS]


def _made(name: str, check: Callable[[], Answer]) -> Check:
    try:
        return Check(name, *check())
    except DatabaseError:
        return Check(name, State.UNDECIDED, _("Cannot be told while the database does not answer or is not prepared."))
