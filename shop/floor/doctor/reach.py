"""Who reaches the shop, and whom does it reach: the owner, mail, labels, sign-ins over the network."""

from ipaddress import ip_address
from urllib.parse import urlsplit

from django.conf import settings
from django.core.mail import get_connection
from django.utils.translation import gettext as _

from shop.floor.doctor.answer import Answer, State
from shop.people.models import User
from shop.people.second_factor import factor_of

MAIL_WAIT_S = 5


def owner() -> Answer:
    """Tell whether somebody can sign in as the owner."""
    if User.objects.filter(role=User.Role.OWNER, retired_at=None).exists():
        return State.OK, _("There is an owner's account.")
    return State.MEND, _("Nobody can sign in as the owner. Start manage.py serve, which makes the account.")


def second_step() -> Answer:
    """Tell whether every owner signs in in two steps; the production form asks for it at the next sign-in."""
    owners = User.objects.filter(role=User.Role.OWNER, retired_at=None)
    bare = [user.name for user in owners.order_by("name") if factor_of(user) is None]
    if not bare:
        return State.OK, _("Every owner signs in in two steps.")
    says = _("A password alone opens everything for {names}. Turn the second step on, on the page Your account.")
    return State.ADVICE, says.format(names=", ".join(bare))


def mail() -> Answer:
    """Tell whether messages reach a mail server."""
    if settings.EMAIL_BACKEND.endswith("filebased.EmailBackend"):
        state = State.MEND if settings.PRODUCTION else State.ADVICE
        return state, _(
            "Messages are written to files in {folder}, not sent. Set WICKLINE_EMAIL_URL to send them."
        ).format(folder=settings.EMAIL_FILE_PATH)
    try:
        server = get_connection(timeout=MAIL_WAIT_S)
        server.open()
        server.close()
    except OSError as problem:
        return State.MEND, _("The mail server does not let us in ({problem}). Correct WICKLINE_EMAIL_URL.").format(
            problem=problem
        )
    if settings.DEFAULT_FROM_EMAIL.endswith("@localhost"):
        return State.MEND, _("Messages come from {sender}. Set WICKLINE_FROM_EMAIL to the shop's address.").format(
            sender=settings.DEFAULT_FROM_EMAIL
        )
    return State.OK, _("The mail server answers.")


def _only_here() -> bool:
    host = urlsplit(settings.SHOP_ADDRESS).hostname or ""
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def labels() -> Answer:
    """Tell whether a phone that scans a label would find the shop."""
    if _only_here():
        state = State.MEND if settings.PRODUCTION else State.ADVICE
        return state, _(
            "Labels and messages would point at {address}, which is this machine only. Set WICKLINE_SHOP_ADDRESS to an "
            "address that phones reach, or start with: manage.py serve --lan"
        ).format(address=settings.SHOP_ADDRESS)
    return State.OK, _("Labels and messages point at {address}.").format(address=settings.SHOP_ADDRESS)


def cookies() -> Answer:
    """Tell whether sign-ins could be read on the way."""
    if settings.HTTPS or _only_here():
        return State.OK, _("Sign-ins do not cross a network unprotected.")
    return State.ADVICE, _(
        "Sign-ins to {address} cross the network readable, since there is no HTTPS. Keep that network to people you "
        "trust, or switch HTTPS on as the README says."
    ).format(address=settings.SHOP_ADDRESS)
