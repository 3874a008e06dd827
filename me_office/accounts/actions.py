"""Every change of an account: opening, changing, closing, passwords and second factors."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from allauth.mfa.models import Authenticator
from django.contrib.auth.models import Group
from django.core.exceptions import ValidationError
from django.db.models import Func, QuerySet, TextField, Value

from me_office.accounts import rules
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit import keys
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.fields import set_fields
from me_office.audit.records import require_reason
from me_office.audit.tidy import one_line
from me_office.entries import Entry

DESCRIBED = ("display_name", "job_title", "credentials")


def require_administrator(actor: Staff) -> None:
    """Refuse everybody but administrators. Raises NotAllowed."""
    if not actor.has_role(Role.ADMINISTRATOR):
        raise NotAllowed("Only administrators may do this.")


def _require_administrator_now(actor: Staff) -> None:
    """Ask again once every earlier act on accounts is done.

    Of two administrators who take each other's role away at the same moment, one stays.
    """
    require_administrator(actor)
    _one_after_another()
    if not _administrators().filter(pk=actor.pk).exists():
        raise NotAllowed("You are no longer an administrator.")
    keys.recall()


@action
def open_account(
    actor: Staff, *, record_id: UUID, entry: Entry, password: str, reason: str
) -> None:
    """Make an account with its roles and a password to begin with, to be changed at once.

    The same key with the same user name again is the same account, and keeps its password.
    Raises NotAllowed, Refused, Conflict, Invalid.
    """
    _require_administrator_now(actor)
    require_reason(reason)
    there = Staff.objects.filter(pk=record_id).first()
    if there is not None:
        named = [name for name in DESCRIBED if name in entry]
        same = all(getattr(there, name) == one_line(entry[name]) for name in named)
        roles = frozenset(Role(role) for role in entry["roles"])
        if there.username != entry["username"] or not same or there.roles != roles:
            raise Conflict("An account with this key has different content.", record=there)
        return
    _open(record_id, entry, password)


@action
def open_first_account(
    actor: Staff, *, record_id: UUID, entry: Entry, password: str, reason: str
) -> None:
    """Make the first administrator of an office that has none; the operator's own act.

    Raises Refused, Conflict, Invalid.
    """
    require_reason(reason)
    _one_after_another()
    if _administrators().exists():
        raise Refused("This office has an administrator, who opens accounts in the browser.")
    _open(record_id, {**entry, "roles": [Role.ADMINISTRATOR]}, password)


def _open(record_id: UUID, entry: Entry, password: str) -> None:
    fault = rules.wrong_username(entry["username"])
    if fault:
        raise Refused(fault, field="username")
    if Staff.objects.filter(username=entry["username"]).exists():
        raise Refused("This user name is taken.", field="username")
    person = Staff(pk=record_id, username=entry["username"], must_change_password=True)
    _describe(person, entry)
    person.set_password(password)
    _refuse_a_name_twice(person)
    _check(person)
    person.save(force_insert=True)
    person.groups.set(_groups(entry["roles"]))


@action
def change_account(
    actor: Staff, *, staff_id: UUID, version: int, entry: Entry, reason: str
) -> None:
    """Change how a person is named and which roles they hold; other roles end their sign-ins.

    Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid.
    """
    person = _for_update(actor, staff_id, version)
    require_reason(reason)
    wanted = frozenset(Role(role) for role in entry["roles"])
    _refuse(rules.why_not_changed(own=person.pk == actor.pk, before=person.roles, after=wanted))
    _describe(person, entry)
    _refuse_a_name_twice(person)
    _check(person)
    if wanted != person.roles:
        person.session_generation += 1
    _save(person, *DESCRIBED, "session_generation")
    person.groups.set(_groups(wanted))


@action
def close_account(actor: Staff, *, staff_id: UUID, version: int, reason: str) -> None:
    """Close an account: the person is signed out and can't sign in; what they did stays theirs.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    person = _for_update(actor, staff_id, version)
    require_reason(reason)
    _refuse(rules.why_not_closed(own=person.pk == actor.pk, is_open=person.is_active))
    person.is_active = False
    person.session_generation += 1
    _save(person, "is_active", "session_generation")


@action
def reopen_account(actor: Staff, *, staff_id: UUID, version: int, reason: str) -> None:
    """Open a closed account again, with the roles it had.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    person = _for_update(actor, staff_id, version)
    require_reason(reason)
    if person.is_active:
        raise Refused("This account is open.")
    person.is_active = True
    _save(person, "is_active")


@action
def replace_password(
    actor: Staff, *, staff_id: UUID, version: int, password: str, reason: str
) -> None:
    """Give somebody a new password to begin with; they are signed out and change it at once.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    person = _for_update(actor, staff_id, version)
    require_reason(reason)
    if person.pk == actor.pk:
        raise Refused("Change your own password on the page of your account.")
    person.set_password(password)
    person.must_change_password = True
    _save(person, "password", "must_change_password")


@action
def reset_second_factor(actor: Staff, *, staff_id: UUID, version: int, reason: str) -> None:
    """Take a lost second factor away: their sign-ins end, and the next one sets up another.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    person = _for_update(actor, staff_id, version)
    require_reason(reason)
    if person.pk == actor.pk:
        raise Refused("Another administrator has to remove your second factor.")
    if not Authenticator.objects.filter(user=person).exists():
        raise Refused("This person has no second factor.")
    Authenticator.objects.filter(user=person).delete()
    person.session_generation += 1
    _save(person, "session_generation")


@action
@keys.never_recalled
def change_own_password(actor: Staff, *, password: str, reason: str = "") -> None:
    """Set the password that a person chose for themselves."""
    person = Staff.objects.select_for_update().get(pk=actor.pk)
    person.set_password(password)
    person.must_change_password = False
    _save(person, "password", "must_change_password")
    # The session goes on with the object that the sign-in library holds.
    actor.password, actor.must_change_password = person.password, False
    actor.version = person.version


@action
def choose_own_shortcuts(actor: Staff, *, single_keys: bool, reason: str = "") -> None:
    """Switch the person's own single-key shortcuts on or off, on whatever device."""
    keys.recall()
    person = Staff.objects.select_for_update().get(pk=actor.pk)
    if person.single_keys == single_keys:
        return
    person.single_keys = single_keys
    _save(person, "single_keys")


def end_other_sign_ins(person: Staff) -> None:
    """End every sign-in of a person but the one that is told of it afterward.

    Called where the sign-in library changed a second factor, in that change's transaction.
    """
    kept = Staff.objects.select_for_update().get(pk=person.pk)
    kept.session_generation += 1
    _save(kept, "session_generation")
    person.session_generation, person.version = kept.session_generation, kept.version


def _one_after_another() -> None:
    Group.objects.select_for_update(no_key=True).get(name=Role.ADMINISTRATOR.value)


def _administrators() -> QuerySet[Staff]:
    return Staff.objects.filter(groups__name=Role.ADMINISTRATOR.value, is_active=True)


def _for_update(actor: Staff, staff_id: UUID, version: int) -> Staff:
    _require_administrator_now(actor)
    person: Staff | None = Staff.objects.select_for_update().filter(pk=staff_id).first()
    if person is None:
        raise NotKnown("There is no such account.")
    if person.version != version:
        raise StaleRecord(person)
    return person


def _describe(person: Staff, entry: Entry) -> None:
    said = {name: one_line(entry[name]) for name in DESCRIBED if name in entry}
    set_fields(person, said, DESCRIBED)


def _refuse_a_name_twice(person: Staff) -> None:
    # Every act on accounts waits for the one before (`_one_after_another`); the table's own
    # constraint stands behind.
    key = Func(Value(person.display_name), function="accounts_name_key", output_field=TextField())
    other = Staff.objects.exclude(pk=person.pk).exclude(name_key="").filter(name_key=key).first()
    if other is not None:
        words = rules.name_taken_words(other.display_name, is_open=other.is_active)
        raise Refused(words, field="display_name")


def _groups(roles: Iterable[Role]) -> list[Group]:
    return list(Group.objects.filter(name__in=[Role(role).value for role in roles]))


def _check(person: Staff) -> None:
    try:
        person.full_clean(exclude=["password"])
    except ValidationError as error:
        raise Invalid(error.message_dict) from error


def _refuse(refusal: rules.Refusal | None) -> None:
    if refusal is not None:
        raise Refused(refusal.words, field=refusal.field)


def _save(person: Staff, *fields: str) -> None:
    # Only what was changed: a sign-in meanwhile writes its moment into the same row.
    person.version += 1
    person.save(update_fields=[*fields, "version"])
