"""Addresses of the pages to which an answer leads."""

from __future__ import annotations

from uuid import UUID

from django.urls import reverse

from cases.exhibits.models import Exhibit


def history_url(case_id: UUID, table: str, record_id: UUID) -> str:
    """Where the history of a record is read."""
    return reverse(
        "history:record-history",
        kwargs={"case_id": case_id, "table": table, "record_id": str(record_id)},
    )


def exhibit_url(exhibit: Exhibit) -> str:
    """The page of an exhibit, where its caption is changed."""
    return _of_exhibit("exhibits:exhibit", exhibit)


def answers_url(exhibit: Exhibit) -> str:
    """The page that answers for an exhibit."""
    return _of_exhibit("witness:witness", exhibit)


def _of_exhibit(page: str, exhibit: Exhibit) -> str:
    keys = {
        "case_id": exhibit.case_id,
        "set_id": exhibit.exhibit_set_id,
        "exhibit_id": exhibit.pk,
    }
    return reverse(page, kwargs=keys)


def shown_url(exhibit: Exhibit, photograph_id: UUID, kind: str) -> str:
    """A picture of an exhibit as a court is shown it: the redacted copy where one stands."""
    keys = {
        "case_id": exhibit.case_id,
        "set_id": exhibit.exhibit_set_id,
        "exhibit_id": exhibit.pk,
        "photograph_id": photograph_id,
    }
    return reverse(f"exhibits:{kind}", kwargs=keys)


def photograph_url(case_id: UUID, photograph_id: UUID, kind: str = "photograph") -> str:
    """The page of a photograph, or one of its files."""
    return reverse(f"evidence:{kind}", kwargs={"case_id": case_id, "photograph_id": photograph_id})
