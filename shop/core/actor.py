"""Who is acting, and whether they may.

An `Actor` is handed to every action. The table of permits is the one place that says which role may do what; a verb
that is missing from it is a programming error, not a permission.
"""

from dataclasses import dataclass
from enum import StrEnum

from shop.core.permits import PERMITS
from shop.core.reasons import Reason, Refused


class Role(StrEnum):
    """The hats people wear in the shop, and the three who are not staff."""

    OWNER = "owner"
    TECHNICIAN = "technician"
    COUNTER = "counter"
    CUSTOMER = "customer"
    SYSTEM = "system"
    STRANGER = "stranger"


STAFF = (Role.OWNER, Role.TECHNICIAN, Role.COUNTER)


@dataclass(frozen=True, slots=True)
class Actor:
    """One acting person or program.

    id is the public id (a user, a customer link, a task's name); name is what staff pages show; device and address
    say from where; client_key is the caller's own key for this request, kept in the trail.
    """

    role: Role
    id: str = ""
    name: str = ""
    device: str = ""
    address: str = ""
    client_key: str = ""

    @property
    def is_staff(self) -> bool:
        """Tell whether this is somebody who works in the shop."""
        return self.role in STAFF


SYSTEM = Actor(role=Role.SYSTEM, id="system", name="Wickline")
STRANGER = Actor(role=Role.STRANGER)


def may(actor: Actor, verb: str) -> bool:
    """Tell whether the actor's role has the verb. Raises KeyError for a verb that the table does not know."""
    return actor.role.value in PERMITS[verb]


def permit(actor: Actor, verb: str) -> None:
    """Let the actor pass or raise `Refused` with the reason `not_permitted`."""
    if not may(actor, verb):
        raise Refused(Reason("not_permitted", {"verb": verb, "role": actor.role.value}))
