"""Certificates, their sealed keys, and the signed documents with their signatures."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from cases.models import CaseRecord
from cases.review.models import Addendum, SignedPdf
from cases.signatures.rules import SignedBy
from evidence.store.models import StoredFile
from me_office.audit.models import Record
from me_office.audit.tables import must, of_active, points_to, staff_who


class Certificate(Record):
    """A certificate: the office's own authority, a person's, or of an authority of time stamps."""

    AUTHORITY, PERSON, STAMPS = "authority", "person", "stamps"
    KINDS = [
        (AUTHORITY, "the office's own authority"),
        (PERSON, "a person's certificate"),
        (STAMPS, "an authority of time stamps"),
    ]

    kind = models.CharField(max_length=10, choices=KINDS, editable=False)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        related_name="certificates",
        null=True,
        blank=True,
        editable=False,
    )
    issued_here = models.BooleanField(default=False, editable=False)
    name = models.CharField(max_length=200, editable=False)
    issuer = models.CharField(max_length=200, editable=False)
    serial = models.CharField("serial number", max_length=64, editable=False)
    fingerprint = models.CharField("SHA-256", max_length=64, unique=True, editable=False)
    not_before = models.DateTimeField("valid from", editable=False)
    not_after = models.DateTimeField("valid until", editable=False)
    pem = models.TextField("certificate", editable=False)
    chain = models.TextField("certificates above it", blank=True, editable=False)
    revoked_at = models.DateTimeField(null=True, blank=True, editable=False)
    revoked_why = models.TextField("reason for revoking it", blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["-not_after", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind"],
                condition=models.Q(kind="authority", revoked_at=None),
                name="one_signing_authority",
                violation_error_message="The office has its authority already.",
            ),
            must(
                "certificate_of_a_person",
                models.Q(kind="person", person__isnull=False)
                | (~models.Q(kind="person") & models.Q(person=None)),
            ),
            must(
                "certificate_revoked_with_reason",
                models.Q(revoked_at=None, revoked_why="")
                | (models.Q(revoked_at__isnull=False) & ~models.Q(revoked_why="")),
            ),
        ]
        indexes = [
            models.Index(fields=["kind", "person"], name="certificate_by_person"),
            of_active("certificate_by_end", "-not_after", "id"),
        ]

    def __str__(self) -> str:
        return f"Certificate {self.serial} of {self.name}"


class SigningKey(models.Model):
    """The sealed private key of a certificate; it is removed when the certificate is revoked.

    In no trail, and given out with nothing: what an event would keep could not be removed.
    """

    certificate = models.OneToOneField(
        Certificate, models.PROTECT, related_name="signing_key", primary_key=True
    )
    sealed = models.BinaryField()

    def __str__(self) -> str:
        return f"Key of {self.certificate_id}"


class SignedDocument(CaseRecord):
    """A document as it was signed and as it goes out: the report, or one addendum."""

    report = models.OneToOneField(
        SignedPdf, models.PROTECT, related_name="document", null=True, blank=True, editable=False
    )
    addendum = models.OneToOneField(
        Addendum, models.PROTECT, related_name="document", null=True, blank=True, editable=False
    )
    file = points_to(StoredFile)
    # The file's own, so that whoever asks by it reads one index.
    sha256 = models.CharField("SHA-256", max_length=64, db_index=True, editable=False)
    code = models.CharField(max_length=14, unique=True, editable=False)
    pages = models.PositiveIntegerField(editable=False)
    # As it is printed in it: who recorded the outcome, where nobody of the office reviewed.
    recorded = models.TextField(blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["created_at", "id"]
        constraints = [
            must(
                "document_is_report_or_addendum",
                models.Q(report__isnull=False, addendum=None)
                | models.Q(report=None, addendum__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return f"{self.what} as signed"

    @property
    def what(self) -> str:
        """What it is: the report, or which addendum."""
        return str(self.addendum).capitalize() if self.addendum else "Report"


class Signature(CaseRecord):
    """Who signed a document, and the certificate by which the file shows it, if there was one."""

    LEVELS = [("", "not digitally signed"), ("B-B", "PAdES B-B"), ("B-T", "PAdES B-T")]

    document = points_to(SignedDocument, "signatures")
    order = models.PositiveSmallIntegerField(editable=False)
    role = models.CharField(max_length=10, choices=SignedBy.choices(), editable=False)
    signer = staff_who()
    signed_as = models.CharField("name as printed", max_length=200, editable=False)
    acted_at = models.DateTimeField("signed with the password", editable=False)
    statement = models.TextField(blank=True, editable=False)
    certificate = models.ForeignKey(
        Certificate, models.PROTECT, related_name="+", null=True, blank=True, editable=False
    )
    level = models.CharField(max_length=4, blank=True, choices=LEVELS, editable=False)
    put_at = models.DateTimeField("signature put on the file", null=True, editable=False)
    stamped_at = models.DateTimeField("time stamp", null=True, blank=True, editable=False)

    class Meta(Record.Meta):
        ordering = ["order", "id"]
        constraints = [
            models.UniqueConstraint(fields=["document", "role"], name="signature_once_a_role"),
            must(
                "signature_with_its_certificate",
                models.Q(certificate=None, level="", put_at=None)
                | (models.Q(certificate__isnull=False, put_at__isnull=False) & ~models.Q(level="")),
            ),
        ]

    def __str__(self) -> str:
        return f"Signature of {self.signed_as}"


class SecondSignature(CaseRecord):
    """A second pathologist signs an addendum or amendment, having read it."""

    addendum = models.OneToOneField(
        Addendum, models.PROTECT, related_name="second_signature", editable=False
    )
    sha256 = models.CharField(max_length=64, help_text="Digest of what was read", editable=False)
    signed_at = models.DateTimeField(editable=False)
    signed_by = staff_who()
    signed_as = models.CharField("name as printed", max_length=200, editable=False)

    class Meta(Record.Meta):
        ordering = ["signed_at", "id"]

    def __str__(self) -> str:
        return f"Second signature on {self.addendum}"
