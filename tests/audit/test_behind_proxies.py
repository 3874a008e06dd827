"""The whole office behind proxies: trail, limits and log have the visitor's address, one and all.

Addresses for documentation: RFC 5737 and RFC 3849.
"""

from __future__ import annotations

import logging
from ipaddress import ip_network
from typing import Any

import pytest
from django.test import Client

from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.looks import FAILED_TRY
from me_office.audit.models import AccessEvent, AuditEvent
from tests.builders import PASSWORD, make_staff, with_password

pytestmark = pytest.mark.django_db
INNER, OUTER, INNER_V6, OUTER_V6 = "192.0.2.2", "192.0.2.3", "2001:db8:20::2", "2001:db8:20::3"
FORGED, OTHER = "203.0.113.200", "198.51.100.7"
# Whom each proxy heard from, as `$proxy_add_x_forwarded_for` appends it.
ROUTES = {
    "one proxy": (INNER, "{visitor}", "203.0.113.9"),
    "two in a row": (INNER, "{visitor}, " + OUTER, "203.0.113.9"),
    "two in a row, and a forged header": (
        INNER, FORGED + ", {visitor}, " + OUTER, "203.0.113.9",
    ),
    "two of IPv6": (INNER_V6, "{visitor}, " + OUTER_V6, "2001:db8:99::9"),
    "IPv6 outside, IPv4 inside, forged": (
        INNER, INNER + ", {visitor}, " + OUTER_V6, "2001:db8:99::9",
    ),
    "no proxy, and a forged header": ("203.0.113.9", FORGED, "203.0.113.9"),
}  # fmt: skip


@pytest.fixture(autouse=True)
def behind_two_proxies(settings: Any) -> None:
    settings.TRUSTED_PROXIES = (ip_network("192.0.2.0/29"), ip_network("2001:db8:20::/64"))
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


class Noted(logging.Handler):
    def __init__(self) -> None:
        super().__init__()
        self.addresses: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.addresses.append(record.fields["address"])  # type: ignore[attr-defined]


@pytest.mark.parametrize("route", ROUTES.values(), ids=ROUTES)
def test_trail_limits_and_log_have_the_visitors_address(route: tuple[str, str, str]):
    peer, header, visitor = route
    boss = with_password(make_staff(Role.ADMINISTRATOR, username="birch"))
    way = {"REMOTE_ADDR": peer, "HTTP_X_FORWARDED_FOR": header.format(visitor=visitor)}
    noted, log = Noted(), logging.getLogger("office.requests")
    log.addHandler(noted)
    try:
        visit = Client(**way)
        visit.post("/sign-in/", {"login": "birch", "password": "wrong"})
        visit.post("/sign-in/", {"login": "birch", "password": PASSWORD})
        visit.get("/people/")
        person = {
            "id": str(new_id()),
            "username": "lind",
            "display_name": "K. Lind",
            "roles": ["records clerk"],
            "reason": "Begins on Monday",
            "own_password": PASSWORD,
        }
        opened = visit.post("/api/people/", person, content_type="application/json")
    finally:
        log.removeHandler(noted)
    assert opened.status_code == 201, opened.content
    assert noted.addresses == [visitor] * 4
    looks = AccessEvent.objects.all()
    assert looks.filter(what=FAILED_TRY).exists() and looks.filter(actor_id=boss.pk).exists()
    assert set(looks.values_list("address", flat=True)) == {visitor}
    assert set(AuditEvent.objects.exclude(address="").values_list("address", flat=True)) == {
        visitor
    }


def test_who_guesses_behind_a_proxy_is_slowed_and_nobody_else_who_comes_through_it():
    with_password(make_staff(Role.RECORDS_CLERK, username="ostrander"))

    def sign_in(visitor: str, forged: int, password: str) -> Any:
        said = f"203.0.113.{forged}, {visitor}, {OUTER}"
        way = Client(REMOTE_ADDR=INNER, HTTP_X_FORWARDED_FOR=said)
        return way.post("/sign-in/", {"login": "ostrander", "password": password})

    for number in range(5):
        sign_in("203.0.113.9", number, "wrong")
    held = sign_in("203.0.113.9", 77, PASSWORD)
    assert held.status_code == 200 and b"Too many wrong passwords" in held.content
    assert sign_in(OTHER, 78, PASSWORD).status_code == 302
