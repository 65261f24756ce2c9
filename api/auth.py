"""Who asks: a device with its token, or a customer with the link of one unit."""

from dataclasses import dataclass
from urllib.parse import urlsplit

from django.conf import settings
from django.utils.translation import gettext_lazy as _
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from api.problems import NotAnswerable
from api.throttles import Guesses
from shop.core import audit
from shop.core.actor import Actor, Role
from shop.core.reasons import Reason
from shop.people.actions import actor_from_token
from shop.units import links
from shop.units.models import CustomerLink

REALM = 'realm="wickline"'


@dataclass(frozen=True, slots=True)
class Caller:
    """What `request.user` is: the actor behind a token, or behind a link with the link itself."""

    actor: Actor
    link: CustomerLink | None = None
    is_authenticated: bool = True


def address_of(request: Request) -> str:
    """Return the network address that a request came from."""
    return str(request.META.get("REMOTE_ADDR", ""))


def _credentials(request: Request, scheme: str) -> str:
    """Return what follows the scheme in the Authorization header; empty when it is another scheme."""
    named, _blank, rest = str(request.META.get("HTTP_AUTHORIZATION", "")).partition(" ")
    return rest.strip() if named.lower() == scheme.lower() else ""


class DeviceTokenAuthentication(BaseAuthentication):
    """`Authorization: Bearer wl_…`, a token that the owner issued for one device."""

    def authenticate(self, request: Request) -> tuple[Caller, str] | None:
        """Return the caller, None without a token. Raises AuthenticationFailed, Throttled for whoever guesses."""
        token = _credentials(request, "Bearer")
        if not token:
            return None
        address = address_of(request)
        guesses = Guesses("token", address)
        guesses.refuse_many()
        actor = actor_from_token(token, address)
        if actor is None:
            guesses.count()
            audit.record(audit.Event.TOKEN_REFUSED, address=address)
            raise AuthenticationFailed
        return Caller(actor), ""

    def authenticate_header(self, request: Request) -> str:  # noqa: ARG002
        """Return what a 401 asks for."""
        return f"Bearer {REALM}"


class LinkAuthentication(BaseAuthentication):
    """The customer's link: the cookie that the customer's page set, or `Authorization: Link <token>`."""

    def authenticate(self, request: Request) -> tuple[Caller, str] | None:
        """Return the caller, None without a link. Raises AuthenticationFailed, Throttled for whoever guesses."""
        token = _credentials(request, "Link")
        if not token:
            token = request.COOKIES.get(settings.CUSTOMER_COOKIE_NAME, "")
            if token and request.method not in ("GET", "HEAD"):
                _refuse_other_origin(request)
        if not token:
            return None
        address = address_of(request)
        guesses = Guesses("link", address)
        guesses.refuse_many()
        link = links.find(token)
        if link is None:
            guesses.count()
            raise AuthenticationFailed
        return Caller(Actor(role=Role.CUSTOMER, id=str(link.id), address=address), link), ""

    def authenticate_header(self, request: Request) -> str:  # noqa: ARG002
        """Return what a 401 asks for."""
        return f"Link {REALM}"


def _refuse_other_origin(request: Request) -> None:
    """Take a change that bears the cookie from the shop's own pages only: another site's page can send it as well."""
    origin = request.META.get("HTTP_ORIGIN", "")
    foreign_origin = origin and urlsplit(origin).netloc != request.get_host()
    if foreign_origin or request.META.get("HTTP_SEC_FETCH_SITE", "same-origin") not in ("same-origin", "none"):
        raise NotAnswerable(403, Reason("other_origin"))


class _TokenScheme(OpenApiAuthenticationExtension):
    """Describe the device token in the schema."""

    target_class = DeviceTokenAuthentication
    name = "deviceToken"

    def get_security_definition(self, auto_schema: object) -> dict[str, str]:  # noqa: ARG002
        """Return the OpenAPI security scheme."""
        return {"type": "http", "scheme": "bearer", "description": str(_("A token that the owner issued."))}


class _LinkScheme(OpenApiAuthenticationExtension):
    """Describe the two ways of showing a customer's link in the schema."""

    target_class = LinkAuthentication
    name = ["linkCookie", "linkHeader"]

    def get_security_requirement(self, auto_schema: object) -> list[dict[str, list[str]]]:  # noqa: ARG002
        """Say that either will do."""
        return [{"linkCookie": []}, {"linkHeader": []}]

    def get_security_definition(self, auto_schema: object) -> list[dict[str, str]]:  # noqa: ARG002
        """Return the OpenAPI security schemes."""
        return [
            {"type": "apiKey", "in": "cookie", "name": settings.CUSTOMER_COOKIE_NAME},
            {"type": "http", "scheme": "Link", "description": str(_("Authorization: Link, then the link's token."))},
        ]
