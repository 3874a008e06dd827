"""The demonstration office in the test database: loaded, walked through, and told again."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager
from datetime import datetime, timedelta
from functools import cache
from unittest.mock import patch
from uuid import UUID

from django.test import Client
from django.urls import reverse

from cases.models import Case
from me_office.accounts.models import Staff
from me_office.demo import loading, player, retiming
from me_office.demo.cases import CASES
from me_office.demo.office import STAFF
from me_office.demo.scenario import Act, DemoCase
from tests.conftest import office_environment
from tests.demo.every_form import Read, walked

WIDTH = 360


def load(**options: object) -> None:
    """Load into the test database with small pictures, painted in this process."""
    loading.load_office(picture_width=WIDTH, say=lambda words: None, beside=False, **options)


def owner() -> AbstractContextManager[retiming.Owner]:
    """Connect as the owner of the test's cluster, beside Django's connection."""
    return retiming.owner_at(office_environment()["DATABASE_URL"])


def in_case(family_name: str) -> dict[str, str]:
    return {"case__decedent__family_name": family_name}


# Who works where: each form of the office is met at least once.
VISITS = [
    ("vasko", "Hallstead"),
    ("quill", "Hallstead"),
    ("quill", "Sorley"),
    ("thorne", "Ashgrove"),
    ("ostrander", "Wrenfield"),
]


@cache
def visited() -> list[tuple[str, list[Read]]]:
    """Walk for each person of VISITS through a case; the pages are kept, what the walk left not."""
    found, elsewhere = [], set[str]()
    for username, family_name in VISITS:
        visitor = Client(raise_request_exception=False)
        visitor.force_login(person := Staff.objects.get(username=username))
        case = Case.objects.get(decedent__family_name=family_name)
        start = reverse("cases:case", args=[case.pk])
        # Who it is would be read again for each of some hundred pages, and is not asked here.
        with patch("django.contrib.auth.middleware.get_user", lambda _, who=person: who):
            found.append((username, list(walked(visitor, [start], elsewhere))))
    return found


def played() -> Iterator[tuple[str, datetime, DemoCase, Act]]:
    """Yield the request of every act of the story, with the moment at which it was done."""
    people = {member.username: Staff.objects.get(pk=member.key) for member in STAFF}
    with loading.painters(beside=False) as painter:
        for index, case in enumerate(CASES):
            of = player.Player(case, index, people, picture_width=WIDTH, painter=painter)
            for n, act in enumerate(case.acts):
                yield str(of.request_key(n)), of.moments[n], case, act


def some_acts() -> dict[UUID, datetime]:
    return {UUID(request): moment + timedelta(days=400) for request, moment, _, _ in played()}
