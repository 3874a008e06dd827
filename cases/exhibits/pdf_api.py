"""API of a set as PDF for the courtroom."""

from __future__ import annotations

from rest_framework import serializers

from cases.api.shared import CASE, unnoted
from cases.exhibits import actions, queries
from cases.exhibits.api import SET
from cases.exhibits.models import ExhibitPdf
from cases.exhibits.redaction_api import ExhibitRetry
from me_office.shell.endpoints import asks_for, at, changes, lists, reads
from me_office.shell.shapes import NewShape

PDF = f"{CASE}/exhibit-pdfs/<uuid:request_id>"


class ExhibitPdfInput(NewShape):
    """What a PDF says beside the exhibits' numbers; `id` is made by the client."""

    with_captions = serializers.BooleanField(default=False)
    with_photograph_numbers = serializers.BooleanField(default=False)


class ExhibitPdfOutput(serializers.ModelSerializer[ExhibitPdf]):
    """A PDF of a set, and how far it is; `contents` is what each page shows."""

    percent = serializers.IntegerField(read_only=True)
    step = serializers.CharField(read_only=True)
    sha256 = serializers.CharField(source="file.sha256", read_only=True, default="")
    changed_since = serializers.CharField(
        read_only=True, help_text="Whether the file shows what no longer stands; empty if not"
    )

    class Meta:
        model = ExhibitPdf
        fields = [
            "id", "version", "exhibit_set", "with_captions", "with_photograph_numbers", "state",
            "percent", "step", "failure", "pages", "contents", "sha256", "changed_since",
        ]  # fmt: skip


def _how_far(asked: ExhibitPdf) -> ExhibitPdf:
    return queries.pdf_with_standing(asked.case, asked.pk)


routes = [
    at(f"{SET}/pdfs/", "pdfs",
       get=lists("exhibit_pdfs_list", unnoted, queries.pdfs_in, ExhibitPdfOutput,
           "Return the PDFs of the set, the newest first."),
       post=asks_for("exhibit_pdfs_ask", actions.request_exhibit_pdf, ExhibitPdfInput,
           ExhibitPdfOutput, "Ask for the set as PDF; a worker makes it, same id.",
           shown=_how_far)),
    at(f"{PDF}/", "pdf",
       get=reads("exhibit_pdfs_read", unnoted, queries.pdf_with_standing, ExhibitPdfOutput,
           "Return how far it is.")),
    at(f"{PDF}/retry/", "retry-pdf",
       post=changes("exhibit_pdfs_retry", actions.retry_exhibit_pdf, ExhibitRetry,
           ExhibitPdfOutput, "Try again to make a PDF that was not made.", shown=_how_far)),
]  # fmt: skip
