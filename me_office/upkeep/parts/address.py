"""The office as it is reached: name, certificate, proxy."""

from __future__ import annotations

from collections.abc import Iterator

from django.conf import settings

from me_office.upkeep import route
from me_office.upkeep.conditions import DEAR_SECONDS, Said, condition, dangerous, right, wrong

# Time enough for somebody who comes to work once a week to have it renewed.
FEW_DAYS = 21


@condition("address", patience=20, good_for=DEAR_SECONDS)
def address() -> Iterator[Said]:
    """Is the office reached at each of its addresses, and does the proxy say what it has to?"""
    if settings.EMBEDDED:
        yield right("A try-out is reached on this machine alone.")
        return
    found = [said for origin in settings.CSRF_TRUSTED_ORIGINS for said in _at(origin)]
    yield from found or [right("The office is reached, and knows who asks.")]


def _at(origin: str) -> Iterator[Said]:
    seen = route.ask(origin)
    yield from _certificate(origin, seen)
    if seen.unreached:
        yield wrong(
            f"{origin} can't be reached from this machine ({seen.unreached}).",
            "Start the proxy and the web process; where only this machine can't find the name, add "
            "it to /etc/hosts.",
        )
    elif seen.late:
        yield wrong(
            f"{origin} gave this machine no answer within {route.SECONDS} s.",
            "See how busy the machine is (uptime), and whether proxy and web process run: "
            "systemctl status nginx office-web",
        )
    elif seen.secure is None:
        yield from _somebody_else(origin, seen)
    else:
        yield from _proxy(origin, seen)


def _certificate(origin: str, seen: route.Seen) -> Iterator[Said]:
    if seen.certificate_fault:
        yield wrong(
            f"The certificate of {origin} is not believed here: {seen.certificate_fault}.",
            "Renew it, with its whole chain; where the county has an authority of its own, "
            "install that authority's certificate on this machine too.",
        )
    if seen.certificate_days is not None and seen.certificate_days < FEW_DAYS:
        yield dangerous(
            f"The certificate of {origin} ends {_in_days(seen.certificate_days)}.",
            "Renew it and reload the proxy: systemctl reload nginx",
        )


def _in_days(days: int) -> str:
    if days < 1:
        return "within a day: after that no browser opens the office"
    return f"in {days} day{'s' if days != 1 else ''}"


def _somebody_else(origin: str, seen: route.Seen) -> Iterator[Said]:
    if seen.status == 400:
        yield wrong(
            f"The web process refuses the name of {origin}.",
            "Let the proxy pass the name on: proxy_set_header Host $host; and name it in ME_HOSTS.",
        )
    elif seen.status in {502, 503, 504}:
        yield wrong(
            f"The proxy at {origin} finds no web process (it answers {seen.status}).",
            "Start it: systemctl start office-web",
        )
    else:
        yield wrong(
            f"Somebody else answers at {origin} (with {seen.status}), or a web process with "
            "another ME_SECRET_KEY.",
            "Look at where the name leads and what the proxy passes on; restart the web process "
            "after a change of the environment.",
        )


def _proxy(origin: str, seen: route.Seen) -> Iterator[Said]:
    if not seen.believed:
        yield wrong(
            f"Requests to {origin} come from {seen.peer}, which ME_TRUSTED_PROXIES does not name: "
            "everybody has one address, in the trail and for the limits of sign-in.",
            f"If that is the proxy, add {seen.peer} to ME_TRUSTED_PROXIES.",
        )
        return
    if not seen.said:
        yield wrong(
            f"The proxy at {origin} does not say who asks: everybody has its address.",
            "proxy_set_header X-Forwarded-For $remote_addr;",
        )
    if seen.said == route.FORGED:
        yield dangerous(
            f"The proxy at {origin} passes on X-Forwarded-For as visitors wrote it: anybody can "
            "have any address in the trail.",
            "proxy_set_header X-Forwarded-For $remote_addr;",
        )
    if not seen.secure and settings.HTTPS:
        yield wrong(
            f"The proxy at {origin} does not say that a request came by https: every page "
            "is sent there again, for ever.",
            "proxy_set_header X-Forwarded-Proto $scheme;",
        )
    if seen.refuses_photographs:
        yield wrong(
            f"The proxy at {origin} refuses photographs of {settings.PHOTOGRAPH_MAX_BYTES:,} bytes "
            "(413).",
            f"client_max_body_size {body_megabytes()}m;",
        )


def body_megabytes() -> int:
    """Return what the proxy has to let through: a photograph and the words around it."""
    return settings.PHOTOGRAPH_MAX_BYTES // 2**20 + 28
