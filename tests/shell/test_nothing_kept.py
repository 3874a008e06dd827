"""No browser and no proxy keeps what the office answered.

Every page and every list is asked in tests/audit/test_lists_leave_a_trace.py.
"""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import get_resolver
from django.urls.resolvers import URLPattern, URLResolver

from tests.builders import make_case


def addresses(case_id: str) -> list[str]:
    """Every address of the office that needs nothing but a case."""
    found: list[str] = []

    def walk(patterns, before: str) -> None:
        for one in patterns:
            here = before + str(one.pattern)
            if isinstance(one, URLResolver):
                walk(one.url_patterns, here)
            elif isinstance(one, URLPattern):
                found.append("/" + here.replace("<uuid:case_id>", case_id))

    walk(get_resolver().url_patterns, "")
    return sorted({one for one in found if not set(one) & set("<^$\\")})


@pytest.mark.django_db
def test_refusals_and_redirects_are_kept_nowhere_and_public_answers_may_be(client: Client):
    for address in ("/", "/api/cases/", "/no/such/page/", f"/cases/{make_case().pk}/"):
        assert "no-store" in client.get(address)["Cache-Control"]
    assert "no-store" not in client.get("/health/").get("Cache-Control", "")
    public = client.get("/static/shell/css/tokens.css")
    public.close()
    assert "no-store" not in public.get("Cache-Control", "")
