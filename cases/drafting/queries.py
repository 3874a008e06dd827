"""Reads of short keys and of the office's words."""

from __future__ import annotations

from uuid import UUID

from django.db.models import Q

from cases.drafting.models import OfficeWord, ShortKey
from me_office.accounts.models import Staff
from me_office.audit.errors import known_of_office
from me_office.audit.queries import HistoryEntry, record_history


def short_keys_for(actor: Staff) -> list[ShortKey]:
    """Return the person's own short keys and the office's, by key, their own first."""
    rows = ShortKey.objects.active().filter(Q(owner=actor) | Q(owner=None))
    found = list(rows.order_by("key", "id"))
    return sorted(found, key=lambda one: (one.key, one.owner_id is None))


def texts_for(actor: Staff) -> dict[str, str]:
    """Return the text of each key as the person gets it: their own goes before the office's."""
    texts: dict[str, str] = {}
    for one in short_keys_for(actor):
        texts.setdefault(one.key, one.text)
    return texts


def short_key_of(actor: Staff, record_id: UUID) -> ShortKey:
    """Return a short key that the person may know of. Raises NotKnown."""
    rows = ShortKey.objects.active().filter(Q(owner=actor) | Q(owner=None), pk=record_id)
    found: ShortKey | None = rows.select_related("changed_by").first()
    return known_of_office(found, "short key")


def history_of(record: ShortKey) -> list[HistoryEntry]:
    """Return what was done to a short key, newest first."""
    return record_history(ShortKey._meta.db_table, str(record.pk))


def office_words() -> list[OfficeWord]:
    """Return the words of the office, in their order."""
    return list(OfficeWord.objects.active().select_related("created_by").order_by("word", "id"))


def office_word_of(record_id: UUID) -> OfficeWord:
    """Return one of them. Raises NotKnown."""
    found: OfficeWord | None = OfficeWord.objects.active().filter(pk=record_id).first()
    return known_of_office(found, "word")


def spelled_so() -> list[str]:
    """Return the words that the office spells so, as words alone."""
    return list(OfficeWord.objects.active().values_list("word", flat=True))
