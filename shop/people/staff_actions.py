"""Who works here and in which role. Faces call these through `shop.people.actions`."""

import re
import unicodedata
from uuid import UUID

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from shop.core import clock, duework, trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock, unique
from shop.core.reasons import Reason, Refused
from shop.core.rows import existing
from shop.core.text import choice, line
from shop.people.models import User
from shop.people.queries import AT_BENCHES
from shop.people.signin import sign_in

_USERNAME = re.compile(r"[\w.-]{2,40}")
_LONGEST_PASSWORD = 200


def add_staff(*, actor: Actor, username: str, name: str, role: str, password: str) -> User:
    """Give somebody who works here an account and return it.

    username is kept in lower case (2 to 40 letters, digits, full stops, hyphens). Raises Refused: `username_taken`,
    `username_malformed`, `password_weak`, `not_a_choice`, `blank`, `too_long`, `hidden_character`.
    """
    permit(actor, "people.change_staff")
    user = User(
        username=_username(username),
        name=line(name, label=_("Name"), field="name", limit=80),
        role=_role(role),
    )
    _put_password(user, password)
    with transaction.atomic():
        with unique(Reason("username_taken", {"username": user.username}, "username")):
            user.save(force_insert=True)
        trail.write(user, actor, "staff_added", after=role)
        _plan_anew(user.role)
    return user


def change_staff_role(*, actor: Actor, user_id: UUID | str, role: str) -> User:
    """Give somebody another role and return the account. Raises Missing, Refused (`last_owner`, `staff_left`)."""
    permit(actor, "people.change_staff")
    with transaction.atomic():
        user = _lock_present(user_id)
        before, after = user.role, _role(role)
        if before != after:
            _keep_an_owner(user)
            user.role = after
            user.save(update_fields=["role"])
            trail.write(user, actor, "role_changed", before=before, after=after)
            _plan_anew(before, after)
    return user


def retire_staff(*, actor: Actor, user_id: UUID | str) -> User:
    """Close the account of somebody who leaves, with all device tokens, and return it. The row stays.

    Raises Missing, Refused (`last_owner`, `staff_left`).
    """
    permit(actor, "people.change_staff")
    with transaction.atomic():
        user = _lock_present(user_id)
        _keep_an_owner(user)
        user.retired_at = clock.now()
        user.save(update_fields=["retired_at"])
        revoked = user.tokens.filter(revoked_at=None).update(revoked_at=user.retired_at)
        trail.write(user, actor, "staff_retired", before=user.role, facts={"tokens_revoked": revoked})
        _plan_anew(user.role)
    return user


def set_password(*, actor: Actor, user_id: UUID | str, password: str, present: str = "") -> User:
    """Give an account a new password and return it; its sessions elsewhere end by that.

    Whoever changes their own password proves the present one, with the same patience as at sign-in; the owner may
    set anybody else's. Raises Missing, Refused (`password_weak`, `too_long`, `sign_in_wrong`, `sign_in_wait`,
    `staff_left`).
    """
    own = actor.id == str(user_id)
    permit(actor, "people.change_own_password" if own else "people.change_staff")
    if own:
        _prove(actor, present)
    with transaction.atomic():
        user = _lock_present(user_id)
        _put_password(user, password)
        user.save(update_fields=["password"])
        trail.write(user, actor, "password_set")
    return user


def _plan_anew(*roles: str) -> None:
    """Ask for a new plan where somebody of these roles comes to the benches or leaves them."""
    if any(role in AT_BENCHES for role in roles):
        duework.plan_anew()


def _prove(actor: Actor, present: str) -> None:
    """Check the present password. Outside the transaction, since a failure must be counted though we refuse."""
    user = existing(User, actor.id)
    sign_in(username=user.username, password=present, address=actor.address)


def _lock_present(user_id: UUID | str) -> User:
    """Lock an account of somebody who still works here, after every owner's account.

    With the owners locked, two of them cannot retire each other at once.
    """
    list(User.objects.select_for_update().filter(role=User.Role.OWNER, retired_at=None).order_by("pk"))
    user = lock(User, pk=user_id)
    if user.retired_at is not None:
        raise Refused(Reason("staff_left", {"name": user.name}))
    return user


def _keep_an_owner(user: User) -> None:
    """Refuse to take the last owner away: nobody could bring one back."""
    others = User.objects.filter(role=User.Role.OWNER, retired_at=None).exclude(pk=user.pk)
    if user.role == User.Role.OWNER and not others.exists():
        raise Refused(Reason("last_owner", {"name": user.name}))


def _username(typed: str) -> str:
    username = unicodedata.normalize("NFKC", typed).strip().lower()
    if not _USERNAME.fullmatch(username):
        raise Refused(Reason("username_malformed", {"given": typed[:40] or "–"}, "username"))
    return username


def _role(given: str) -> str:
    return choice(given, User.Role.values, label=_("Role"), field="role")


def _put_password(user: User, password: str) -> None:
    """Hash a password onto an account, unsaved, when Django's validators have nothing against it."""
    if len(password) > _LONGEST_PASSWORD:
        raise Refused(Reason("too_long", {"label": _("Password"), "limit": _LONGEST_PASSWORD}, "password"))
    try:
        validate_password(password, user)
    except ValidationError as weak:
        raise Refused(Reason("password_weak", {"why": " ".join(weak.messages)}, "password")) from None
    user.set_password(password)
