"""What a shop needs once, before anybody can sign in, and where phones find it."""

import secrets
import socket

from django.utils.translation import gettext as _

from shop.core.actor import Actor, Role
from shop.people.actions import add_staff
from shop.people.models import User

# Whoever may start the shop on its machine holds the files and with them everything: this is the owner, or their hand.
CONSOLE = Actor(role=Role.OWNER, id="console", name="console", device="console")


def has_staff() -> bool:
    """Tell whether anybody has an account."""
    return User.objects.exists()


def first_owner(*, username: str, name: str, password: str) -> User:
    """Make the owner's account. Raises Refused as `people.actions.add_staff` does."""
    return add_staff(actor=CONSOLE, username=username, name=name, role=User.Role.OWNER, password=password)


def first_owner_unasked() -> tuple[User, str]:
    """Make an owner's account with a random password and return both; the password is kept nowhere else."""
    password = secrets.token_urlsafe(12)
    return first_owner(username="owner", name=_("Owner"), password=password), password


def network_address() -> str:
    """Return this machine's IPv4 address on the network it would send through, 127.0.0.1 when there is none.

    Connecting a datagram socket asks the system for the way and sends nothing; 192.0.2.1 is reserved by RFC 5737.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return "127.0.0.1"
        return str(probe.getsockname()[0])
