"""The second step of signing in: a code that changes every 30 seconds (RFC 6238), or a recovery code.

The secret is HMAC-SHA256 over the factor's random id with the shop's key, cut to the 160 bits that RFC 4226 asks for,
so a copy of the database alone signs nobody in. A code counts for its own time step and the one before and after, and
once only (ASVS 5.0, 6.5.1 and 6.5.5).
"""

import base64
import hashlib
import hmac
import secrets
from uuid import UUID

import pyotp
from django.conf import settings
from django.db import transaction
from django.utils.encoding import force_bytes

from shop.core import clock, trail
from shop.core.actor import Actor, permit
from shop.core.audit import Event, record
from shop.core.locks import lock
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.core.tagcode import encode
from shop.people.models import RecoveryCode, SecondFactor, User
from shop.people.signin import forget_tries, note_try

RECOVERY_CODES = 8
STEP_S = 30
_RECOVERY_LENGTH = 10  # of 5 bits each
_SECRET_BYTES = 20


def factor_of(user: User) -> SecondFactor | None:
    """Return the second factor that this person signs in with, or None."""
    return SecondFactor.objects.filter(user=user, ended_at=None).exclude(confirmed_at=None).first()


def secret_of(factor: SecondFactor) -> str:
    """Return the factor's secret in base 32, as a telephone takes it typed."""
    key = force_bytes(settings.SECRET_KEY)
    digest = hmac.new(key, f"second-factor:{factor.id}".encode(), hashlib.sha256).digest()
    return base64.b32encode(digest[:_SECRET_BYTES]).decode()


def address_of(factor: SecondFactor) -> str:
    """Return the address that a telephone reads from a QR code to show the codes."""
    return pyotp.TOTP(secret_of(factor)).provisioning_uri(name=factor.user.username, issuer_name=profile().name)


def begin(*, actor: Actor) -> SecondFactor:
    """Return the actor's own factor that waits to be confirmed; make it once. Raises Refused with `factor_there`."""
    permit(actor, "people.change_own_password")
    with transaction.atomic():
        user = lock(User, pk=actor.id)
        if factor_of(user):
            raise Refused(Reason("factor_there"))
        return SecondFactor.objects.get_or_create(user=user, ended_at=None)[0]


def confirm(*, actor: Actor, code: str) -> list[str]:
    """Turn the actor's factor on, since its telephone shows the right code; return the recovery codes, once.

    Raises Refused with `code_wrong`, `factor_there` or `sign_in_wait`.
    """
    pending = begin(actor=actor)
    note_try(_tries(pending.user), actor.address)
    with transaction.atomic():
        factor = lock(SecondFactor, pk=pending.pk)
        _use(factor, code)
        factor.confirmed_at = clock.now()
        factor.save(update_fields=["confirmed_at"])
        codes = [encode(secrets.randbits(5 * _RECOVERY_LENGTH), _RECOVERY_LENGTH) for _ in range(RECOVERY_CODES)]
        RecoveryCode.objects.bulk_create(RecoveryCode(factor=factor, code_hash=_hash(each)) for each in codes)
        trail.write(factor.user, actor, "second_factor_on")
    forget_tries(_tries(factor.user))
    record(Event.FACTOR_ON, address=actor.address, who=actor.id)
    return codes


def check(*, user: User, code: str, address: str) -> None:
    """Let somebody in whose password was right, by a code of the telephone or a recovery code.

    Raises Refused with `code_wrong`, or `sign_in_wait` after too many tries. Must not be called inside a transaction
    that a refusal rolls back: the failure would not count.
    """
    note_try(_tries(user), address)
    try:
        with transaction.atomic():
            factor = factor_of(user)
            if factor is None:
                raise Refused(Reason("code_wrong", {}, "code"))
            _use_either(lock(SecondFactor, pk=factor.pk), code)
    except Refused:
        record(Event.CODE_REFUSED, address=address, who=str(user.pk))
        raise
    forget_tries(_tries(user))


def end(*, actor: Actor, user_id: UUID | str, code: str = "") -> User:
    """Turn somebody's second factor off: one's own with a code, or anybody else's by the owner.

    Raises Refused with `factor_missing`, `code_wrong` or `sign_in_wait`. Not inside a transaction, like `check`.
    """
    own = actor.id == str(user_id)
    permit(actor, "people.change_own_password" if own else "people.change_staff")
    if own:
        check(user=User.objects.get(pk=user_id), code=code, address=actor.address)
    with transaction.atomic():
        user = lock(User, pk=user_id)
        if not SecondFactor.objects.filter(user=user, ended_at=None).update(ended_at=clock.now()):
            raise Refused(Reason("factor_missing"))
        trail.write(user, actor, "second_factor_off")
    record(Event.FACTOR_OFF, address=actor.address, who=str(user.pk))
    return user


def _use_either(factor: SecondFactor, code: str) -> None:
    """Use up a recovery code when it looks like one, else a code of the telephone."""
    typed = _tidy(code)
    if len(typed) != _RECOVERY_LENGTH:
        return _use(factor, typed)
    unused = RecoveryCode.objects.filter(factor=factor, code_hash=_hash(typed), used_at=None)
    if not unused.update(used_at=clock.now()):
        raise Refused(Reason("code_wrong", {}, "code"))
    return None


def _use(factor: SecondFactor, code: str) -> None:
    """Use up a code of the telephone: of this time step, the one before or after, and later than the last one used."""
    totp = pyotp.TOTP(secret_of(factor), interval=STEP_S)
    now = int(clock.now().timestamp()) // STEP_S
    typed = _tidy(code)
    for step in (now - 1, now, now + 1):
        if step > factor.last_step and hmac.compare_digest(totp.generate_otp(step), typed):
            factor.last_step = step
            factor.save(update_fields=["last_step"])
            return
    raise Refused(Reason("code_wrong", {}, "code"))


def _tries(user: User) -> str:
    """Return the name under which wrong codes are counted: no user name has a blank in it."""
    return f"2 {user.pk}"


def _tidy(code: str) -> str:
    """Take a code as people type it: with blanks or hyphens between the groups. Anything not ASCII is no code."""
    plain = "".join(code.split()).replace("-", "").upper()
    return plain if plain.isascii() else ""


def _hash(code: str) -> str:
    return hashlib.sha256(code.encode()).hexdigest()
