"""Device tokens, and who acts when one or a session is shown. Faces call these through `shop.people.actions`."""

import hashlib
import secrets
from datetime import timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from shop.core import clock, trail
from shop.core.actor import Actor, Role, permit
from shop.core.locks import lock
from shop.core.reasons import Reason, Refused
from shop.core.text import line
from shop.people.models import DeviceToken, User

PREFIX = "wl_"
_RANDOM_BYTES = 24  # 192 bits
_USE_NOTED_EVERY = timedelta(minutes=1)


def issue_token(*, actor: Actor, user_id: UUID | str, name: str) -> tuple[DeviceToken, str]:
    """Let a device act in somebody's name; return its row and the token, which is shown this once.

    Only the token's SHA-256 is kept: a random secret of 192 bits needs no slow hash. Raises Missing, Refused
    (`staff_left`, `blank`, `too_long`, `hidden_character`).
    """
    permit(actor, "people.issue_token")
    device = line(name, label=_("Name of the device"), field="name", limit=60)
    secret = PREFIX + secrets.token_urlsafe(_RANDOM_BYTES)
    with transaction.atomic():
        user = lock(User, pk=user_id)
        if user.retired_at is not None:
            raise Refused(Reason("staff_left", {"name": user.name}))
        token = DeviceToken.objects.create(user=user, name=device, token_hash=_hash(secret))
        trail.write(user, actor, "token_issued", facts={"token": token.id})
    return token, secret


def revoke_token(*, actor: Actor, token_id: UUID | str) -> DeviceToken:
    """Make a device's token useless from now on and return its row; twice is once. Raises Missing."""
    permit(actor, "people.issue_token")
    with transaction.atomic():
        token = lock(DeviceToken, pk=token_id)
        if token.revoked_at is None:
            user = lock(User, pk=token.user_id)
            token.revoked_at = clock.now()
            token.save(update_fields=["revoked_at"])
            trail.write(user, actor, "token_revoked", facts={"token": token.id})
    return token


def actor_from_token(token: str, address: str, *, client_key: str = "") -> Actor | None:
    """Return who acts with this token, or None when it is unknown, revoked, or its owner has left.

    Notes the use, at most once a minute, so that reading over the API does not write at each request.
    """
    known = DeviceToken.objects.filter(token_hash=_hash(token), revoked_at=None, user__retired_at=None)
    row = known.select_related("user").first()
    if row is None:
        return None
    now = clock.now()
    if row.last_used_at is None or row.last_used_at <= now - _USE_NOTED_EVERY:
        unseen = Q(last_used_at=None) | Q(last_used_at__lte=now - _USE_NOTED_EVERY)
        DeviceToken.objects.filter(unseen, pk=row.pk).update(last_used_at=now)
    return actor_of(row.user, device=row.name, address=address, client_key=client_key)


def actor_of(user: User, *, device: str = "", address: str = "", client_key: str = "") -> Actor:
    """Return the actor that a signed-in person is."""
    return Actor(
        role=Role(user.role), id=str(user.id), name=user.name, device=device, address=address, client_key=client_key
    )


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode(errors="replace")).hexdigest()
