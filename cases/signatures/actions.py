"""Certificates: the office's authority, those of persons, revoking, renewing."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import connection
from django.utils import timezone

from cases.signatures import authority, queries, sealing
from cases.signatures.models import Certificate, SigningKey
from cases.signatures.rules import is_good, is_to_be_renewed
from me_office.accounts.actions import require_administrator
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit import keys
from me_office.audit.actions import action
from me_office.audit.errors import NotKnown, Refused, known_of_office
from me_office.audit.records import (
    recorded_as,
    require_reason,
    require_version,
    save_new,
    save_next_version,
)

HAS_ONE = "The office has its authority already."
HAS_NONE = "The office has no authority of its own yet. Make it first, or import a certificate."
# Any fixed number: those who change certificates wait for each other.
_IN_TURN = 7_260_411


@action
def make_authority(actor: Staff, *, record_id: UUID, reason: str) -> Certificate:
    """Make the office's own authority, once; its key stays here, sealed.

    Raises NotAllowed, Refused.
    """
    _begin(actor)
    why = require_reason(reason)
    made = Certificate.objects.filter(pk=record_id).first()
    if made is not None:
        return recorded_as(made, kind=Certificate.AUTHORITY, created_by_id=actor.pk)
    if queries.authority() is not None:
        raise Refused(HAS_ONE)
    issued = authority.make_root(settings.OFFICE_NAME, now=timezone.now())
    return _keep(actor, record_id, issued, kind=Certificate.AUTHORITY, issued_here=True, why=why)


@action
def issue_certificate(
    actor: Staff, *, record_id: UUID, person_id: UUID, reason: str
) -> Certificate:
    """Issue a certificate to a person who signs, by the office's own authority.

    Raises NotAllowed, NotKnown, Refused, Conflict.
    """
    _begin(actor)
    why = require_reason(reason)
    made = Certificate.objects.filter(pk=record_id).first()
    if made is not None:
        return recorded_as(made, person_id=person_id, issued_here=True)
    return _issue(actor, record_id, _signer(person_id), why)


@action
def import_certificate(
    actor: Staff, *, record_id: UUID, person_id: UUID, content: bytes, password: str, reason: str
) -> Certificate:
    """Keep a person's certificate of another authority, with its key, from a PKCS#12 file.

    Raises NotAllowed, NotKnown, Refused, Conflict.
    """
    _begin(actor)
    why = require_reason(reason)
    person = _signer(person_id)
    issued = authority.read_pkcs12(content, password)
    facts = authority.facts_of(issued.pem)
    made = Certificate.objects.filter(pk=record_id).first()
    if made is not None:
        return recorded_as(made, person_id=person.pk, fingerprint=facts.fingerprint)
    now = timezone.now()
    if not facts.not_before <= now <= facts.not_after:
        raise Refused("This certificate is not valid today.", field="file")
    if Certificate.objects.filter(fingerprint=facts.fingerprint).exists():
        raise Refused("This certificate is kept already.", field="file")
    return _keep(actor, record_id, issued, kind=Certificate.PERSON, person=person, why=why)


@action
def trust_time_stamps(actor: Staff, *, record_id: UUID, pem: str, reason: str) -> Certificate:
    """Trust the authority of time stamps whose root certificate this is.

    Raises NotAllowed, Refused, Conflict.
    """
    _begin(actor)
    why = require_reason(reason)
    read = authority.read_authority(pem)
    fingerprint = authority.facts_of(read).fingerprint
    made = Certificate.objects.filter(pk=record_id).first()
    if made is not None:
        return recorded_as(made, kind=Certificate.STAMPS, fingerprint=fingerprint)
    if Certificate.objects.filter(fingerprint=fingerprint).exists():
        raise Refused("This certificate is kept already.", field="file")
    return _keep(actor, record_id, authority.Issued(read, b""), kind=Certificate.STAMPS, why=why)


@action
def revoke_certificate(
    actor: Staff, *, certificate_id: UUID, version: int, reason: str
) -> Certificate:
    """Revoke a certificate: it signs no more, and its private key is removed for good.

    What it signed before stays valid where that can be shown. Raises NotAllowed, NotKnown,
    StaleRecord, Refused.
    """
    _begin(actor)
    why = require_reason(reason)
    one = known_of_office(
        Certificate.objects.select_for_update().filter(pk=certificate_id).first(), "certificate"
    )
    require_version(one, version)
    if one.revoked_at is not None:
        raise Refused("This certificate is revoked already.")
    if one.kind == Certificate.AUTHORITY and _others_rest_on(one):
        raise Refused("Persons' certificates rest on this authority: revoke those first.")
    one.revoked_at, one.revoked_why = timezone.now(), why
    SigningKey.objects.filter(certificate=one).delete()
    return save_next_version(actor, one)


@action
def renew_certificate(actor: Staff, *, record_id: UUID, certificate_id: UUID) -> Certificate | None:
    """Issue the next certificate of a person before theirs ends; the job of every day calls it.

    It is renewed in the name of who issued the one before. None where there is nothing to renew.
    """
    _one_after_another()
    one = Certificate.objects.select_related("person").get(pk=certificate_id)
    now, person = timezone.now(), one.person
    if person is None or not is_to_be_renewed(one, now) or not _may_sign(person):
        return None
    held = queries.held_by([person.pk]).get(person.pk, [])
    if any(is_good(other, now) and other.not_after > one.not_after for other in held):
        return None
    return _issue(actor, record_id, person, "The one before ends soon.")


def to_renew() -> list[Certificate]:
    """Return the office's certificates of persons that are to be renewed now."""
    now = timezone.now()
    rows = Certificate.objects.filter(
        kind=Certificate.PERSON, issued_here=True, revoked_at=None, signing_key__isnull=False
    ).select_related("person", "created_by")
    return [one for one in rows.order_by("not_after", "id") if is_to_be_renewed(one, now)]


def office_list(now: datetime) -> bytes | None:
    """Return the office's list of revoked certificates (DER), or None without an own authority."""
    root = _root()
    if root is None:
        return None
    return authority.list_of_revoked(root, queries.revoked_here(), now=now)


def lists_address() -> str:
    """Return where the list is published, or nothing where the office has no public address."""
    origins = settings.CSRF_TRUSTED_ORIGINS
    return f"{origins[0]}/verify/revoked.crl" if origins else ""


def key_of(one: Certificate) -> bytes:
    """Return the open private key of a certificate. Raises CannotOpen, NotKnown."""
    held = SigningKey.objects.filter(certificate=one).first()
    if held is None:
        raise NotKnown("The private key of this certificate is not kept here.")
    return sealing.unseal(one.pk, bytes(held.sealed))


def _begin(actor: Staff) -> None:
    require_administrator(actor)
    _one_after_another()
    keys.recall()


def _one_after_another() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_IN_TURN])


def _signer(person_id: UUID) -> Staff:
    person: Staff | None = Staff.objects.filter(pk=person_id).first()
    if person is None:
        raise NotKnown("There is no such account.")
    if not _may_sign(person):
        raise Refused("Only a pathologist whose account is open signs reports.", field="person_id")
    return person


def _may_sign(person: Staff) -> bool:
    return person.is_active and person.has_role(Role.PATHOLOGIST)


def _root() -> authority.Issued | None:
    one = queries.authority()
    return authority.Issued(one.pem, key_of(one)) if one is not None else None


def _issue(actor: Staff, record_id: UUID, person: Staff, why: str) -> Certificate:
    root = _root()
    if root is None:
        raise Refused(HAS_NONE)
    issued = authority.issue(
        root,
        person=person.printed_name,
        office=settings.OFFICE_NAME,
        now=timezone.now(),
        lists_at=lists_address(),
    )
    return _keep(
        actor, record_id, issued, kind=Certificate.PERSON, person=person, issued_here=True, why=why
    )


def _keep(
    actor: Staff, record_id: UUID, issued: authority.Issued, *, why: str, **more: Any
) -> Certificate:
    facts = authority.facts_of(issued.pem)
    # Refused before anything is written where no secret is set.
    sealed = sealing.seal(record_id, issued.key) if issued.key else b""
    one = save_new(
        actor,
        Certificate(
            pk=record_id,
            name=facts.name[:200],
            issuer=facts.issuer[:200],
            serial=facts.serial,
            fingerprint=facts.fingerprint,
            not_before=facts.not_before,
            not_after=facts.not_after,
            pem=issued.pem,
            chain=issued.chain,
            **more,
        ),
        own_key=True,
    )
    if sealed:
        SigningKey.objects.create(certificate=one, sealed=sealed)
    return one


def _others_rest_on(root: Certificate) -> bool:
    rows = Certificate.objects.filter(
        kind=Certificate.PERSON, issued_here=True, revoked_at=None, not_after__gt=timezone.now()
    )
    return any(authority.is_issued_by(one.pem, root.pem) for one in rows)
