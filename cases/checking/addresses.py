"""On which page each check is mended, and each of two places is read."""

from __future__ import annotations

from uuid import UUID

from django.urls import reverse

from cases.checking.rules import Outcome, Place, Rule


def page_of(rule: Rule, case_id: UUID) -> str:
    """Return where the office records what a check asks; empty for one of the office's own."""
    if not rule.page:
        return ""
    name, _, part = rule.page.partition("#")
    return reverse(name, kwargs={"case_id": case_id}) + (f"#{part}" if part else "")


def place_url(place: Place, case_id: UUID) -> str:
    """Return where one of two places is read."""
    keys: dict[str, object] = {"case_id": case_id}
    if place.kind == "findings:chart" and place.of:
        return f"{reverse(place.kind, kwargs=keys)}?finding={place.of}"
    if place.kind == "evidence:photograph":
        return reverse(place.kind, kwargs={**keys, "photograph_id": place.of})
    return reverse(place.kind, kwargs=keys) + (f"#{place.of}" if place.of else "")


def check_url(outcome: Outcome, case_id: UUID) -> str:
    """Return the page on which a check is answered."""
    return reverse("checking:answer", kwargs={"case_id": case_id, "key": outcome.rule.key})
