"""Signing in with a name and a password, slowly for whoever guesses.

A failure is written down before the password is looked at and taken back when it was right: guesses made at the same
moment count each other, so that a hundred at once get no more tries than a hundred in a row.
"""

import math
import unicodedata
from datetime import datetime, timedelta

from django.db.models import QuerySet

from shop.core import clock
from shop.core.addresses import network_of
from shop.core.audit import Event, record
from shop.core.reasons import Reason, Refused
from shop.people.models import SignInFailure, User

WINDOW = timedelta(minutes=15)
FAILURES_PER_NAME = 5
FAILURES_PER_ADDRESS = 20


def sign_in(*, username: str, password: str, address: str) -> User:
    """Return the person whose name and password these are.

    Raises Refused with `sign_in_wrong`, the same for an unknown name, a wrong password and somebody who left, or with
    `sign_in_wait` after 5 failures for a name or 20 from an address within 15 minutes, also when the password is
    right. Must not be called inside a transaction that a refusal rolls back: the failure would not count.
    """
    name = unicodedata.normalize("NFKC", username).strip().lower()[:40]
    note_try(name, address)
    user = _match(name, password)
    if user is None:
        record(Event.SIGN_IN_REFUSED, address=address)
        raise Refused(Reason("sign_in_wrong", {}, "password"))
    forget_tries(name)
    return user


def note_try(name: str, address: str) -> None:
    """Count a try that is about to be made, as failed until `forget_tries`. Raises Refused with `sign_in_wait`."""
    _refuse_when_too_many(_note(name, network_of(address)))


def forget_tries(name: str) -> None:
    """Take back what was counted against a name, since it has just been right."""
    SignInFailure.objects.filter(username=name).delete()


def _note(name: str, network: str) -> SignInFailure:
    """Write the attempt down as a failure, and drop those that no longer count."""
    SignInFailure.objects.filter(at__lte=clock.now() - WINDOW).delete()
    return SignInFailure.objects.create(username=name, address=network)


def _refuse_when_too_many(attempt: SignInFailure) -> None:
    """Take the attempt back and refuse when there are enough others; waiting does not lengthen the wait."""
    others = SignInFailure.objects.filter(at__gt=clock.now() - WINDOW).exclude(pk=attempt.pk).order_by("-at")
    by_name = others.filter(username=attempt.username)
    by_address = others.filter(address=attempt.address) if attempt.address else SignInFailure.objects.none()
    ends = max(_end(by_name, FAILURES_PER_NAME), _end(by_address, FAILURES_PER_ADDRESS))
    if ends <= clock.now():
        return
    attempt.delete()
    record(Event.SIGN_IN_SLOWED, address=attempt.address)
    minutes = math.ceil((ends - clock.now()) / timedelta(minutes=1))
    raise Refused(Reason("sign_in_wait", {"minutes": minutes}))


def _end(failures: "QuerySet[SignInFailure]", allowed: int) -> datetime:
    """Return when fewer failures than allowed will count; now when that is so already."""
    newest = list(failures.values_list("at", flat=True)[:allowed])
    return newest[-1] + WINDOW if len(newest) == allowed else clock.now()


def _match(name: str, password: str) -> User | None:
    """Return the person when the password is right. An unknown name costs the time of one hash as well."""
    user = User.objects.filter(username=name).first()
    if user is None:
        User().set_password(password)
        return None
    right = user.check_password(password)
    return user if right and user.retired_at is None else None
