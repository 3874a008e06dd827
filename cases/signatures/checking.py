"""Checks a kept document again: its bytes, its signatures, what became of the certificates."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from django.utils import timezone

from cases.signatures import queries
from cases.signatures.keeping import roots_of
from cases.signatures.models import SignedDocument
from cases.signatures.rules import FIELDS, SignedBy, day_words
from evidence.store import StoreAway, original_chunks
from me_office.moments import local


@dataclass(frozen=True)
class CheckedSignature:
    """What a check of one signature found; `is_valid` is None where there is none to check."""

    role: str
    says: str
    is_valid: bool | None


WHEN_PUT_ON = "Valid when it was put on."
NOT_THERE = "The stored file is missing or has another digest than the one it was kept with."


def _day(at: datetime) -> str:
    return day_words(local(at).date())


def check_document(document: SignedDocument) -> list[CheckedSignature]:
    """Return how the signatures of a kept document stand now, the office's own list asked too.

    A signature counts as of the moment it was put on: what ended or was revoked later is said.
    """
    signatures = list(document.signatures.all())
    try:
        pdf = b"".join(original_chunks(document.file))
    except FileNotFoundError:
        pdf = b""
    except StoreAway:
        return [
            CheckedSignature(one.role, "The store does not answer.", None) for one in signatures
        ]
    if sha256(pdf).hexdigest() != document.sha256:
        return [CheckedSignature(one.role, NOT_THERE, False) for one in signatures]
    certificates = [one.certificate for one in signatures if one.certificate]
    if not certificates:
        return [CheckedSignature(one.role, "Not digitally signed.", None) for one in signatures]
    from cases.signatures import validating

    put_at = min(one.put_at for one in signatures if one.put_at)
    found = validating.check(
        pdf,
        roots=roots_of(certificates),
        at=put_at,
        stamp_roots="".join(one.pem for one in queries.stamp_authorities()),
    )
    by_field = {one.field: one for one in found}
    checked = []
    for one in signatures:
        if one.certificate is None:
            checked.append(CheckedSignature(one.role, "Not digitally signed.", None))
            continue
        seen = by_field.get(FIELDS[SignedBy(one.role)][0])
        if seen is None or not seen.is_valid:
            words = seen.says if seen else "This signature is missing in the file."
            checked.append(CheckedSignature(one.role, words, False))
            continue
        words, revoked = "Valid.", one.certificate.revoked_at
        if revoked is not None:
            words = f"{WHEN_PUT_ON} The certificate was revoked on {_day(revoked)}."
        elif one.certificate.not_after < timezone.now():
            words = f"{WHEN_PUT_ON} The certificate ended on {_day(one.certificate.not_after)}."
        checked.append(CheckedSignature(one.role, words, True))
    return checked
