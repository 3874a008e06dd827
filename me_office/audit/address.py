"""Where a request comes from: the one answer for the trail, the looks and the limits.

A header is only as true as whoever sent it. `X-Forwarded-For` grows to the right, each proxy adding
whom it heard from; so it is read from the right, and only past proxies that the office named in
`ME_TRUSTED_PROXIES`. Whatever stands further left is what a visitor says of themselves.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from ipaddress import IPv4Address, IPv4Network, IPv6Address, IPv6Network, ip_address, ip_network

from django.conf import settings
from django.core.checks import CheckMessage, Tags, Warning, register
from django.http import HttpRequest, HttpResponse

from me_office.around import Around

Address = IPv4Address | IPv6Address
Network = IPv4Network | IPv6Network

LONGEST = 64
# A line of IPv6 is given to one household or device, which may use any address of it.
# RFC 6177 (end sites get more than one /64), RFC 8981 (addresses that a device changes by itself):
# both from memory, not checked.
ONE_LINE_V6 = 64
# RFC 3177 (obsoleted by RFC 6177): a site is given a /48 in the general case.
ONE_SITE_V6 = 48
_WITH_PORT = re.compile(r"\[([^\]]+)\](?::\d+)?|(\d+\.\d+\.\d+\.\d+):\d+")


def read_address(text: str) -> Address | None:
    """Return the address that a text names, an IPv4 one also where it is written as IPv6."""
    text = text.strip()
    ported = _WITH_PORT.fullmatch(text)
    if ported:
        text = ported[1] or ported[2]
    try:
        found = ip_address(text.partition("%")[0])
    except ValueError:
        return None
    if isinstance(found, IPv6Address) and found.ipv4_mapped:
        return found.ipv4_mapped
    return found


def is_trusted(address: Address | None, trusted: Sequence[Network]) -> bool:
    """Tell whether an address is one of the proxies that the office trusts."""
    return address is not None and any(address in network for network in trusted)


def origin(peer: str, forwarded: str, trusted: Sequence[Network]) -> str:
    """Return the address of the first hop, from the office outwards, that is no trusted proxy.

    `peer` is who opened the connection, `forwarded` the header `X-Forwarded-For`. Where a proxy
    passes on what is no address, the proxy itself is the last thing that is known.
    """
    known = read_address(peer)
    if known is None:
        return peer[:LONGEST]
    for said in reversed(forwarded.split(",") if forwarded else []):
        if not is_trusted(known, trusted):
            break
        further = read_address(said)
        if further is None:
            break
        known = further
    return str(known)


def address_of(request: HttpRequest) -> str:
    """Return the address a request comes from."""
    return origin(
        request.META.get("REMOTE_ADDR", ""),
        request.META.get("HTTP_X_FORWARDED_FOR", ""),
        settings.TRUSTED_PROXIES,
    )


def line_of(address: str) -> str:
    """Return what one visitor has for themselves: an IPv4 address, or a network of IPv6."""
    found = read_address(address)
    if isinstance(found, IPv6Address):
        return str(ip_network((found, ONE_LINE_V6), strict=False))
    return str(found or address)


def site_of(address: str) -> str:
    """Return the network of a site of IPv6, of which each line is a part; nothing for IPv4."""
    found = read_address(address)
    if not isinstance(found, IPv6Address):
        return ""
    return str(ip_network((found, ONE_SITE_V6), strict=False))


class OnlyTrustedProxies(Around):
    """Take away what a stranger says about how the request came: first of all middleware."""

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer a request whose `X-Forwarded-Proto` can be believed."""
        peer = read_address(request.META.get("REMOTE_ADDR", ""))
        if not is_trusted(peer, settings.TRUSTED_PROXIES):
            request.META.pop("HTTP_X_FORWARDED_PROTO", None)
        return self.get_response(request)


@register(Tags.security, deploy=True)
def somebody_speaks_tls(**_: object) -> list[CheckMessage]:
    """Warn where every request would be sent to https for ever."""
    if settings.HTTPS and not settings.TRUSTED_PROXIES:
        return [
            Warning(
                "ME_TRUSTED_PROXIES names no proxy, so nothing says that a request came by https.",
                hint="Name the networks of the proxy that speaks TLS, such as 10.20.0.0/29.",
                id="office.W001",
            )
        ]
    return []
