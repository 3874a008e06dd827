"""Every try at a password or a code: counted before it is looked at, slowed, and recorded.

A try takes its place in the count first and gives it back when it was right, so that many at the
same moment count like many in a row. The counts stand in the database and are written outside of
any action: a refusal that undoes the action leaves them.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import connection, transaction
from django.db.models import F
from django.db.models.functions import Greatest
from django.utils.crypto import salted_hmac

from me_office.accounts import limits
from me_office.accounts.devices import known_device
from me_office.accounts.limits import Count, Secret
from me_office.accounts.models import Staff, TryCount
from me_office.audit import looks
from me_office.audit.actions import is_inside_an_action
from me_office.audit.address import line_of, site_of
from me_office.audit.context import RequestFacts, current_request
from me_office.audit.errors import TooSoon

_log = logging.getLogger(__name__)
NOT_YOURS = "This is not your password."


@dataclass(frozen=True)
class Try:
    """One try that may be made: say afterward how it came out."""

    place: str
    kind: Secret
    person: Staff | None
    counts: tuple[Count, ...]

    def passed(self) -> None:
        """Give the place in the count back."""
        for count in self.counts:
            row = TryCount.objects.filter(key=_digest(count.key))
            row.update(failures=0 if count.resets else Greatest(F("failures") - 1, 0))

    def failed(self) -> None:
        """Record the failure: where and from which address, never what was typed."""
        _record(self.place, self.kind, self.person)


def begin(*, place: str, kind: Secret, name: str, person: Staff | None, signed_in: bool) -> Try:
    """Take a place in the count for one try at somebody's password or code. Raises TooSoon.

    `name` is what was typed as user name; `person` whose it is, None if it is nobody's.
    """
    if is_inside_an_action():
        raise RuntimeError("A try is counted before the action, or its refusal would undo it.")
    facts = current_request.get() or RequestFacts()
    name = (person.username if person is not None else name.strip()).lower()
    device = known_device(facts.device_cookie, person.pk) if person is not None else ""
    with transaction.atomic():
        counted = limits.counts(
            name=name,
            kind=kind,
            device=device,
            signed_in=signed_in,
            line=line_of(facts.address),
            site=site_of(facts.address),
            attacked=_is_attacked(limits.name_key(name, kind)),
        )
        wait, newly = _take_place(counted)
    if wait:
        if newly:
            _record(place, kind, person, held_back=True)
        raise TooSoon(limits.held_back_words(kind, wait))
    return Try(place, kind, person, tuple(counted))


def begin_look_up(*, place: str) -> Try:
    """Take a place in the count for a question after a document, of anybody. Raises TooSoon.

    Only what is not found keeps its place: say `passed` where something was.
    """
    facts = current_request.get() or RequestFacts()
    counted = limits.look_up_counts(line=line_of(facts.address), site=site_of(facts.address))
    with transaction.atomic():
        wait, _ = _take_place(counted)
    if wait:
        raise TooSoon(limits.look_up_words(wait))
    return Try(place, "code", None, tuple(counted))


def wrong_own_password(person: Staff, password: str, *, place: str) -> str:
    """Return why this is not taken as the password of who is signed in, or nothing.

    Raises TooSoon. An empty field is no try.
    """
    if not password:
        return NOT_YOURS
    tried = begin(place=place, kind="password", name=person.username, person=person, signed_in=True)
    if person.check_password(password):
        tried.passed()
        return ""
    tried.failed()
    return NOT_YOURS


def is_first_use(person: Staff, code: str) -> bool:
    """Tell whether a code from an app is used for the first time, and remember that it was.

    RFC 6238, section 5.2 (from memory, not checked): a code is accepted once. The library's memory
    of it is the cache, which may be away.
    """
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO accounts_trycount AS kept (key, failures, held_back, last_at)"
            " VALUES (%s, 0, 0, clock_timestamp()) ON CONFLICT (key) DO UPDATE"
            " SET last_at = excluded.last_at"
            " WHERE kept.last_at < clock_timestamp() - make_interval(secs => %s)",
            [_digest(f"used {person.pk} {code}"), limits.CODE_REMEMBERED_S],
        )
        written: int = cursor.rowcount
        return written == 1


def begin_in_form(**said: Any) -> Try:
    """The same as `begin` for the sign-in library's forms. Raises ValidationError."""
    try:
        return begin(**said)
    except TooSoon as error:
        raise ValidationError(error.message, code=error.code) from error


def _take_place(counted: list[Count]) -> tuple[int, bool]:
    """Count a try under all its keys, or return how long to wait and whether that is news."""
    keys = {_digest(count.key): count for count in counted}
    TryCount.objects.bulk_create([TryCount(key=key) for key in sorted(keys)], ignore_conflicts=True)
    # Locked in one order: two tries that share some of their keys wait, never for each other.
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT key, failures, held_back, extract(epoch FROM clock_timestamp() - last_at)"
            " FROM accounts_trycount WHERE key = ANY(%s) ORDER BY key FOR UPDATE",
            [sorted(keys)],
        )
        rows = cursor.fetchall()
        # A clock that was ahead and was set right would make waits of hours: they begin again.
        ahead = [key for key, _, _, since in rows if since < 0]
        if ahead:
            cursor.execute(
                "UPDATE accounts_trycount SET last_at = clock_timestamp() WHERE key = ANY(%s)",
                [ahead],
            )
    waits = {
        key: limits.wait_s(limit, failures=failures, since_s=float(since))
        for key, failures, _, since in rows
        if (limit := keys[key].limit) is not None
    }
    if any(waits.values()):
        slow = [key for key, wait in waits.items() if wait]
        TryCount.objects.filter(key__in=slow).update(held_back=F("held_back") + 1)
        return max(waits.values()), all(held == 0 for key, _, held, _ in rows if key in slow)
    for key, failures, _, since in rows:
        limit = keys[key].limit or limits.ADDRESS
        kept = 0 if float(since) >= limit.forgotten_after_s else failures
        with connection.cursor() as cursor:
            cursor.execute(
                "UPDATE accounts_trycount SET failures = %s, held_back = 0,"
                " last_at = clock_timestamp() WHERE key = %s",
                [kept + 1, key],
            )
    return 0, False


def _is_attacked(key: str) -> bool:
    found = TryCount.objects.raw(
        "SELECT id FROM accounts_trycount WHERE key = %s AND failures >= %s"
        " AND last_at > clock_timestamp() - make_interval(secs => %s)",
        [_digest(key), limits.ATTACKED_FROM, limits.HOUR_S],
    )
    return bool(list(found))


def _record(place: str, kind: Secret, person: Staff | None, *, held_back: bool = False) -> None:
    facts = current_request.get() or RequestFacts()
    if person is None:
        # What was typed may be a password in the wrong field: it is kept nowhere.
        _log.warning("A %s was tried for no known name, from %s.", kind, facts.address or "here")
        return
    looks.note_failed_try(person, place=place, kind=kind, held_back=held_back)


def _digest(key: str) -> str:
    # Names and addresses of strangers are nobody's to read here.
    return salted_hmac("me_office.accounts.tries", key, algorithm="sha256").hexdigest()
