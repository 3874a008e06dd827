"""API of signed documents: what is signed by whom, and where the file is fetched."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from rest_framework import serializers

from cases.api.shared import CASE, framed, key
from cases.signatures import queries
from cases.signatures.models import SecondSignature, Signature, SignedDocument
from cases.signatures.second import sign_second
from me_office.shell.endpoints import adds, at, lists
from me_office.shell.shapes import NewShape, shape_of

SignatureOutput = shape_of(
    "SignatureOutput", Signature,
    ("role", "signed_as", "acted_at", "statement", "level", "put_at", "stamped_at", "serial",
     "issuer", "revoked_at"),
    "A signature; without a certificate the file shows none, and `level` is empty.",
    role=serializers.CharField(),
    serial=serializers.CharField(source="certificate.serial", default=""),
    issuer=serializers.CharField(source="certificate.issuer", default=""),
    revoked_at=serializers.DateTimeField(source="certificate.revoked_at", default=None),
)  # fmt: skip


class DocumentOutput(serializers.ModelSerializer[SignedDocument]):
    """A document as it was signed; its signatures were valid when it was kept (`created_at`)."""

    what = serializers.CharField(help_text="The report, or which addendum")
    signatures = SignatureOutput(many=True)
    file = serializers.SerializerMethodField()

    class Meta:
        model = SignedDocument
        fields = (
            "id", "what", "code", "sha256", "pages", "created_at", "recorded", "signatures", "file",
        )  # fmt: skip

    def get_file(self, document: SignedDocument) -> str:
        """Return where the file is fetched."""
        keys: dict[str, Any] = {"case_id": document.case_id, "document_id": document.pk}
        return reverse("signatures:document-pdf", kwargs=keys)


class SecondInput(NewShape):
    """Signs an addendum as second pathologist; `sha256` is the digest of what was read."""

    addendum_id = serializers.UUIDField()
    sha256 = serializers.CharField(max_length=64)


SecondOutput = shape_of(
    "SecondOutput", SecondSignature, ("id", "addendum", "sha256", "signed_at", "signed_as"),
    "A second signature on an addendum or amendment.",
)  # fmt: skip


routes = [
    at(f"{CASE}/second-signatures/", "second-signatures",
       post=adds("second_signature_add", sign_second, SecondInput, SecondOutput,
           "Sign an addendum or amendment as second pathologist.")),
    at(f"{CASE}/signed-documents/", "documents",
       get=lists("signed_documents_list", key(framed("report")), queries.documents_of,
           DocumentOutput, "Return the signed documents of a case with their signatures.")),
]  # fmt: skip
