"""A repeated request has the effect of one.

The key's row is the first statement of the transaction and the answer is stored in it, so a repeat waits for the
first and then gets its answer; a refusal rolls everything back, the key as well.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

from django.db import IntegrityError, transaction

from shop.core.actor import Actor
from shop.core.models import KeptAnswer
from shop.core.reasons import Noted, Reason, Refused

_KEY_LIMIT = 80


@dataclass(frozen=True, slots=True)
class Answer:
    """What a face replies: an HTTP status and a body (JSON text, or the address to go to)."""

    status: int
    body: str


class KeyReused(Refused):
    """The same key came with another request."""


def fingerprint(*parts: str | bytes) -> str:
    """Return the SHA-256 over a request's parts (method, path, body), each with its length."""
    digest = hashlib.sha256()
    for part in parts:
        raw = part.encode() if isinstance(part, str) else part
        digest.update(len(raw).to_bytes(8, "big") + raw)
    return digest.hexdigest()


def _short(key: str) -> str:
    """Return the key, or its hash when it is longer than the column: two long keys must not become one."""
    return key if len(key) <= _KEY_LIMIT else hashlib.sha256(key.encode()).hexdigest()


def once(*, actor: Actor, key: str, fingerprint: str, perform: Callable[[], Answer]) -> Answer:
    """Perform and keep the answer under (actor, key), or give the kept answer again.

    Without a key it just performs. Raises KeyReused when the key was used for a request with another fingerprint,
    and whatever perform raises, in which case nothing is kept.
    """
    if not key:
        return perform()
    owner = f"{actor.role.value}:{actor.id or actor.address}"[:80]
    key = _short(key)
    try:
        with transaction.atomic():
            row = KeptAnswer.objects.create(owner=owner, key=key, fingerprint=fingerprint)
            try:
                answer = perform()
            except Noted as refusal:
                noted = refusal
                row.delete()
            else:
                KeptAnswer.objects.filter(pk=row.pk).update(status=answer.status, body=answer.body)
                return answer
        raise noted
    except IntegrityError:
        kept = KeptAnswer.objects.filter(owner=owner, key=key).first()
        if kept is None:
            raise
    if kept.fingerprint != fingerprint:
        raise KeyReused(Reason("key_reused"))
    return Answer(kept.status, kept.body)
