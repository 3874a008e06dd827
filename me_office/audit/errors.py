"""The few errors that an action may raise, in the trade's words.

One handler turns them into form errors (`me_office.shell.forms`), one into API bodies
(`me_office.shell.api`).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

T = TypeVar("T")


class OfficeError(Exception):
    """An expected refusal: a stable code, a sentence for the person, the field if there is one."""

    code = "refused"
    status = 422

    def __init__(self, message: str, *, field: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field


class Away(OfficeError):
    """Something that the office rests on does not answer: the same, sent again later, is done."""

    code = "away"
    status = 503
    retry_seconds = 10


class Refused(OfficeError):
    """A rule says no. `field` names the input that has to change, if it is one."""


class Invalid(OfficeError):
    """Several fields are wrong: `errors` maps the field to its messages."""

    code = "invalid"

    def __init__(self, errors: Mapping[str, list[str]]) -> None:
        first = next(iter(errors.values()), ["Check what was entered."])
        super().__init__(first[0])
        self.errors = dict(errors)


class TooSoon(Refused):
    """Too many wrong answers: the message says how long to wait."""

    code = "too_soon"
    status = 429


class NotAllowed(OfficeError):
    """The person may see this but not do it; the message says why."""

    code = "not_allowed"
    status = 403


class NotKnown(OfficeError):
    """The record does not exist, or the person may not know of it: the same answer for both."""

    code = "not_known"
    status = 404


def known(row: T | None, what: str) -> T:
    """Return what was found of a case. Raises NotKnown where that is nothing."""
    if row is None:
        raise NotKnown(f"There is no such {what} in this case.")
    return row


def known_of_office(row: T | None, what: str) -> T:
    """Return what was found of what belongs to no case. Raises NotKnown where that is nothing."""
    if row is None:
        raise NotKnown(f"There is no such {what}.")
    return row


class StaleRecord(OfficeError):
    """Somebody saved the record in between. `record` is what stands now."""

    code = "stale"
    status = 409

    def __init__(self, record: Any) -> None:
        super().__init__(
            "Someone else saved this while you were "
            "writing. Nothing you typed is lost: compare, then save again."
        )
        self.record = record


class Conflict(OfficeError):
    """The same key was used before for something else.

    `record` is what was saved then, where the person may read it.
    """

    code = "conflict"
    status = 409

    def __init__(self, message: str, *, field: str | None = None, record: Any = None) -> None:
        super().__init__(message, field=field)
        self.record = record


class OtherPerson(OfficeError):
    """The page was opened by somebody else than who is signed in on the same device now."""

    code = "other_person"
    status = 409
