"""The append-only trail: one chained row for each change of a subject.

Each row carries the SHA-256 of its own content and of the row before it, so that an edit made behind the
application's back shows (`broken_links`).
"""

import hashlib
import json
import secrets
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, Protocol
from uuid import UUID

from shop.core import clock
from shop.core.actor import Actor
from shop.core.models import PersonalText, TrailEntry


class Subject(Protocol):
    """Anything with a history: a unit, a customer, the shop's profile."""

    @property
    def trail_kind(self) -> str: ...  # noqa: D102
    @property
    def id(self) -> UUID: ...  # noqa: D102


def write(
    subject: Subject,
    actor: Actor,
    what: str,
    *,
    before: str = "",
    after: str = "",
    facts: Mapping[str, Any] | None = None,
    note: str = "",
    happened_at: datetime | None = None,
) -> TrailEntry:
    """Append one row. The caller holds the subject's lock, which makes its seq unique.

    what is a verb in the past ("moved", "quote_sent"); facts hold ids, codes and figures only, never a person's
    words: those go into note, which can be erased later. happened_at differs from now for a scan made offline.
    """
    last = TrailEntry.objects.filter(subject_id=subject.id).order_by("-seq").first()
    kept, note_hash = _keep_words(note)
    moment = clock.now()
    entry = TrailEntry(
        subject_kind=subject.trail_kind,
        subject_id=subject.id,
        seq=last.seq + 1 if last else 1,
        happened_at=happened_at or moment,
        recorded_at=moment,
        actor_role=actor.role.value,
        actor_id=actor.id,
        device=actor.device[:80],
        client_key=actor.client_key[:80],
        what=what,
        before=before,
        after=after,
        facts=json.dumps(facts or {}, sort_keys=True, ensure_ascii=False, default=str),
        note=kept,
        note_hash=note_hash,
        previous_hash=last.entry_hash if last else "",
    )
    entry.entry_hash = digest(entry)
    entry.save(force_insert=True)
    return entry


def _keep_words(note: str) -> tuple[PersonalText | None, str]:
    if not note:
        return None, ""
    kept = PersonalText.objects.create(salt=secrets.token_hex(16), text=note)
    return kept, hashlib.sha256((kept.salt + note).encode()).hexdigest()


def digest(entry: TrailEntry) -> str:
    """Return the SHA-256 over every stored column of a row except its number and its own hash."""
    fields = (
        entry.previous_hash,
        entry.subject_kind,
        entry.subject_id,
        entry.seq,
        entry.happened_at.isoformat(),
        entry.recorded_at.isoformat(),
        entry.actor_role,
        entry.actor_id,
        entry.device,
        entry.client_key,
        entry.what,
        entry.before,
        entry.after,
        entry.facts,
        entry.note_hash,
    )
    return hashlib.sha256(json.dumps([str(field) for field in fields]).encode()).hexdigest()


def broken_links(entries: Iterable[TrailEntry]) -> list[int]:
    """Return the seq of every row of one subject, given in order, whose hash, link or number is not right."""
    broken = []
    previous, expected_seq = "", 1
    for entry in entries:
        if entry.entry_hash != digest(entry) or entry.previous_hash != previous or entry.seq != expected_seq:
            broken.append(entry.seq)
        previous, expected_seq = entry.entry_hash, entry.seq + 1
    return broken
