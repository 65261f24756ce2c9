"""The append-only trail: one chained row for each change of a subject.

Each row carries the SHA-256 of its own content and of the row before it, so that an edit made behind the
application's back shows (`broken_links`).
"""

import hashlib
import json
import secrets
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
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
    return kept, _salted(kept)


def _salted(words: PersonalText) -> str:
    return hashlib.sha256((words.salt + words.text).encode()).hexdigest()


def erase_words(entry: TrailEntry) -> None:
    """Erase the personal words of a row, for whoever has the right to be forgotten; the chain stays valid.

    The salt goes too, so that nobody can try likely words against the hash. Twice is once. The caller holds the
    subject's lock and says in the subject's trail that words were erased.
    """
    if entry.note_id is not None:
        open_words = PersonalText.objects.filter(pk=entry.note_id, erased_at=None)
        open_words.update(text="", salt="", erased_at=clock.now())


def digest(entry: TrailEntry) -> str:
    """Return the SHA-256 over every stored column of a row except its number and its own hash."""
    fields = (
        entry.previous_hash,
        entry.subject_kind,
        entry.subject_id,
        entry.seq,
        # In UTC, as the database gives it back: an offline scan may hand in another zone's writing of the moment.
        entry.happened_at.astimezone(UTC).isoformat(),
        entry.recorded_at.astimezone(UTC).isoformat(),
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
    """Return the seq of every row of one subject, given in order, whose hash, link, number or words are not right.

    entries come with their notes (`select_related("note")`), or each costs a query. Words that were erased no longer
    tell anything and count as right.
    """
    broken = []
    previous, expected_seq = "", 1
    for entry in entries:
        right = entry.entry_hash == digest(entry) and entry.previous_hash == previous and entry.seq == expected_seq
        if not (right and _words_match(entry)):
            broken.append(entry.seq)
        previous, expected_seq = entry.entry_hash, entry.seq + 1
    return broken


def _words_match(entry: TrailEntry) -> bool:
    """Tell whether the kept words are those that the row was written with."""
    if entry.note is None:
        return not entry.note_hash
    return entry.note.erased_at is not None or _salted(entry.note) == entry.note_hash
