"""Where a request comes from, by its connection and what trusted proxies say, and nothing else."""

from __future__ import annotations

from ipaddress import ip_network
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client, RequestFactory

from me_office.accounts.adapter import OfficeAdapter
from me_office.accounts.roles import Role
from me_office.audit.address import (
    OnlyTrustedProxies,
    address_of,
    line_of,
    origin,
    site_of,
    somebody_speaks_tls,
)
from me_office.audit.models import AccessEvent
from tests.builders import make_staff

# Addresses for documentation: RFC 5737 (192.0.2.0/24, 198.51.100.0/24, 203.0.113.0/24) and
# RFC 3849 (2001:db8::/32).
TRUSTED = tuple(map(ip_network, ("192.0.2.0/29", "2001:db8:20::/64")))
PROXY, SECOND, PROXY_V6 = "192.0.2.2", "192.0.2.3", "2001:db8:20::2"
VISITOR, OTHER, VISITOR_V6 = "203.0.113.9", "198.51.100.7", "2001:db8:99::9"

WHERE_FROM = {
    "no header": (VISITOR, "", VISITOR),
    "a header from a stranger": (VISITOR, OTHER, VISITOR),
    "a stranger who names a proxy": (VISITOR, f"{OTHER}, {PROXY}", VISITOR),
    "one proxy": (PROXY, VISITOR, VISITOR),
    "one proxy that passes on what the visitor made up": (PROXY, f"{OTHER}, {VISITOR}", VISITOR),
    "a visitor who claims to be a proxy": (PROXY, f"{PROXY}, {VISITOR}", VISITOR),
    "two proxies": (PROXY, f"{OTHER}, {VISITOR}, {SECOND}", VISITOR),
    "a stranger between two proxies": (PROXY, f"{SECOND}, {VISITOR}, {SECOND}", VISITOR),
    "a proxy without a header": (PROXY, "", PROXY),
    "nobody but proxies": (PROXY, SECOND, SECOND),
    "IPv6": (PROXY_V6, VISITOR_V6, VISITOR_V6),
    "IPv6 written at length": (PROXY_V6, "2001:0db8:0099:0000::0009", VISITOR_V6),
    "IPv6 with brackets and port": (PROXY_V6, f"[{VISITOR_V6}]:4711", VISITOR_V6),
    "IPv6 in brackets": (PROXY_V6, f"[{VISITOR_V6}]", VISITOR_V6),
    "IPv6 with its zone": ("fe80::9%eth0", "", "fe80::9"),
    "IPv4 with a port": (PROXY, f"{VISITOR}:4711", VISITOR),
    "IPv4 written as IPv6": (f"::ffff:{PROXY}", f"::ffff:{VISITOR}", VISITOR),
    "IPv4 behind IPv6": (PROXY_V6, VISITOR, VISITOR),
    "just outside the network": ("192.0.2.8", VISITOR, "192.0.2.8"),
    "just inside the network": ("192.0.2.7", VISITOR, VISITOR),
    "no address in the header": (PROXY, "unknown", PROXY),
    "no address before the visitor": (PROXY, f"<script>, {VISITOR}", VISITOR),
    "no address after the visitor": (PROXY, f"{VISITOR}, x", PROXY),
    "no address beyond the second proxy": (PROXY, f"{VISITOR}, x, {SECOND}", SECOND),
    "empty parts": (PROXY, f"{VISITOR}, ", PROXY),
    "a number that is no address": (PROXY, "3405803785", PROXY),
    "part of an address": (PROXY, "203.0.113", PROXY),
    "a peer without an address": ("localhost", VISITOR, "localhost"),
    "a long peer": ("x" * 90, VISITOR, "x" * 64),
    "nothing at all": ("", "", ""),
}


@pytest.mark.parametrize(("peer", "header", "found"), WHERE_FROM.values(), ids=WHERE_FROM.keys())
def test_an_address_is_read_past_trusted_proxies_only(peer: str, header: str, found: str) -> None:
    assert origin(peer, header, TRUSTED) == found


def test_without_trusted_proxies_no_header_counts() -> None:
    assert origin(PROXY, VISITOR, ()) == PROXY


@pytest.mark.parametrize(
    ("address", "line"),
    [
        (VISITOR, VISITOR),
        ("2001:db8:99:1:a:b:c:d", "2001:db8:99:1::/64"),
        ("2001:db8:99:1:ffff::", "2001:db8:99:1::/64"),
        ("2001:db8:99:2::", "2001:db8:99:2::/64"),
        ("::ffff:203.0.113.9", VISITOR),
        ("localhost", "localhost"),
    ],
)
def test_a_visitor_of_ipv6_has_a_network(address: str, line: str) -> None:
    assert line_of(address) == line


@pytest.mark.parametrize(
    ("address", "site"),
    [
        ("2001:db8:99:17::9", "2001:db8:99::/48"),
        ("[2001:db8:99:ffff:1::9]:443", "2001:db8:99::/48"),
        ("2001:db8:9a::1", "2001:db8:9a::/48"),
        ("203.0.113.9", ""),
        ("::ffff:203.0.113.9", ""),
        ("", ""),
        ("a socket", ""),
    ],
)
def test_only_ipv6_has_sites(address: str, site: str) -> None:
    # RFC 3177 (obsoleted by RFC 6177): /48 for a site in the general case.
    assert site_of(address) == site


@pytest.mark.parametrize(
    ("peer", "secure"), [(PROXY, True), (PROXY_V6, True), (VISITOR, False), ("", False)]
)
def test_only_a_trusted_proxy_says_that_it_was_https(
    settings: Any, peer: str, secure: bool
) -> None:
    settings.TRUSTED_PROXIES = TRUSTED
    settings.SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    seen = []

    def answer(request: Any) -> HttpResponse:
        seen.append(request.is_secure())
        return HttpResponse()

    OnlyTrustedProxies(answer)(
        RequestFactory().get("/", REMOTE_ADDR=peer, HTTP_X_FORWARDED_PROTO="https")
    )
    assert seen == [secure]
    assert settings.MIDDLEWARE[0] == "me_office.audit.address.OnlyTrustedProxies"


@pytest.mark.django_db
def test_the_trail_and_the_limits_take_the_same_address(settings: Any) -> None:
    settings.TRUSTED_PROXIES = TRUSTED
    headers = {"REMOTE_ADDR": PROXY, "HTTP_X_FORWARDED_FOR": f"{OTHER}, {VISITOR}"}
    request = RequestFactory().get("/", **headers)
    assert address_of(request) == OfficeAdapter(request).get_client_ip(request) == VISITOR
    visitor = Client(**headers)
    visitor.force_login(make_staff(Role.ADMINISTRATOR))
    visitor.get("/people/")
    assert AccessEvent.objects.get().address == VISITOR


@pytest.mark.django_db
def test_the_health_check_is_answered_past_the_proxy(settings: Any, client: Client) -> None:
    settings.SECURE_SSL_REDIRECT = True
    for path in ("/health/", "/health/live/"):
        assert client.get(path).status_code == 200
    assert client.get("/health/ready/").status_code in {200, 503}
    assert client.get("/sign-in/")["Location"].startswith("https://")
    assert client.get("/health/else/")["Location"].startswith("https://")


@pytest.mark.parametrize(
    ("https", "trusted", "warned"),
    [(True, (), ["office.W001"]), (True, TRUSTED, []), (False, (), []), (False, TRUSTED, [])],
)
def test_https_without_a_proxy_that_says_so_is_warned_of(
    settings: Any, https: bool, trusted: Any, warned: list[str]
) -> None:
    settings.HTTPS, settings.TRUSTED_PROXIES = https, trusted
    assert [one.id for one in somebody_speaks_tls()] == warned
