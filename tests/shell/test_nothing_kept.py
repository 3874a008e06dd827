"""No browser and no proxy keeps what the office answered."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import get_resolver
from django.urls.resolvers import URLPattern, URLResolver

from me_office.accounts.roles import Role
from tests.builders import make_case, make_staff


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
def test_every_page_and_every_api_answer_is_kept_nowhere(client: Client):
    case = make_case()
    everything = make_staff(*Role)
    client.force_login(everything)
    asked = [
        one for one in addresses(str(case.pk)) if "sign-out" not in one and "logout" not in one
    ]
    assert len(asked) > 80
    kept = []
    for address in asked:
        answer = client.get(address)
        if address != "/health/" and "no-store" not in answer.get("Cache-Control", ""):
            kept.append(address)
    assert kept == []


@pytest.mark.django_db
def test_refusals_and_redirects_are_kept_nowhere_and_public_answers_may_be(client: Client):
    for address in ("/", "/api/cases/", "/no/such/page/", f"/cases/{make_case().pk}/"):
        assert "no-store" in client.get(address)["Cache-Control"]
    assert "no-store" not in client.get("/health/").get("Cache-Control", "")
    public = client.get("/static/shell/css/tokens.css")
    public.close()
    assert "no-store" not in public.get("Cache-Control", "")
