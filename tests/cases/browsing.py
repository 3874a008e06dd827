"""What a browser does, for the tests of the pages."""

from __future__ import annotations

from django.urls import reverse
from django.utils import timezone

from cases.models import Case
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_staff

READ_PAGES = ["case", "report", "scene", "body", "assignment"]


def page(name: str, case: Case, **more) -> str:
    return reverse(f"cases:{name}", kwargs={"case_id": case.pk, **more})


def sign_in(client, *roles: Role) -> Staff:
    person = make_staff(*roles)
    client.force_login(person)
    return person


def typed(entry: dict, **hidden) -> dict:
    """What a browser sends: moments in office time, nothing for None."""
    sent = {}
    for name, value in entry.items():
        if hasattr(value, "astimezone"):
            value = timezone.localtime(value).strftime("%Y-%m-%dT%H:%M")
        if value is not None:
            sent[name] = getattr(value, "pk", value)
    keys = {"record_id": new_id(), "request_key": new_id(), "version": 0}
    return sent | {name: str(value) for name, value in (keys | hidden).items()}


def words(answer) -> str:
    return answer.content.decode()
