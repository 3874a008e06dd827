"""The invented office: its people, and how they sign in."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from functools import cache

from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import Group
from django.utils import timezone

from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.actions import action

# For trying out only: the command refuses an office that runs on servers of its own.
PASSWORD = "seven herons at dusk"  # noqa: S105
NAMESPACE = uuid.UUID("6f1d2f0e-4f2c-5b7a-9c53-2d6f0c1e7a41")


@dataclass(frozen=True)
class Member:
    """A member of the invented office's staff."""

    username: str
    name: str
    role: Role
    job_title: str
    credentials: str = ""
    also: Role | None = None

    @property
    def key(self) -> uuid.UUID:
        """The key of the person's account, the same each time."""
        return key_of("staff", self.username)


def key_of(*parts: str) -> uuid.UUID:
    """Return the key of a record of the demonstration, the same each time."""
    return uuid.uuid5(NAMESPACE, "/".join(parts))


STAFF = (
    Member("birch", "A. Birch", Role.ADMINISTRATOR, "Office administrator"),
    Member("vasko", "Dr. I. Vasko", Role.PATHOLOGIST, "Forensic pathologist", "MD"),
    Member("amadi", "Dr. N. Amadi", Role.PATHOLOGIST, "Forensic pathologist", "MD"),
    Member(
        "thorne",
        "M. Thorne",
        Role.SUPERVISOR,
        "Chief medical examiner",
        "MD",
        also=Role.PATHOLOGIST,
    ),
    Member("ostrander", "R. Ostrander", Role.RECORDS_CLERK, "Records custodian"),
    Member("quill", "L. Quill", Role.INVESTIGATOR, "Medicolegal death investigator"),
    Member("sedge", "P. Sedge", Role.INVESTIGATOR, "Medicolegal death investigator"),
    Member("renn", "D. Renn", Role.EVIDENCE_TECHNICIAN, "Evidence technician"),
)
ADMINISTRATOR = STAFF[0]


@cache
def _hashed_password() -> str:
    # Everybody knows this password, so that one slow digest serves all accounts.
    return make_password(PASSWORD)


@action
def open_account(actor: Staff, *, member: Member, reason: str) -> None:
    """Make one person's account with its role; an account that is there stays as it is."""
    if Staff.objects.filter(username=member.username).exists():
        return
    person = Staff(
        pk=member.key,
        username=member.username,
        display_name=member.name,
        job_title=member.job_title,
        credentials=member.credentials,
        date_joined=timezone.now(),
    )
    person.password = _hashed_password()
    person.save(force_insert=True)
    for role in filter(None, (member.role, member.also)):
        person.groups.add(Group.objects.get_or_create(name=role.value)[0])


def open_accounts() -> dict[str, Staff]:
    """Make the accounts that are missing; return the people by user name."""
    administrator = Staff(
        pk=ADMINISTRATOR.key, username=ADMINISTRATOR.username, display_name=ADMINISTRATOR.name
    )
    for member in STAFF:
        open_account(administrator, member=member, reason="The office is set up.")
    names = [member.username for member in STAFF]
    return {person.username: person for person in Staff.objects.filter(username__in=names)}


def sign_ins() -> str:
    """Return the table of sign-ins in plain text."""
    rows = [("Name", "Role", "User name", "Password")]
    rows += [(each.name, each.role.value, each.username, PASSWORD) for each in STAFF]
    widths = [max(len(row[n]) for row in rows) for n in range(4)]
    lines = [
        "  ".join(cell.ljust(widths[n]) for n, cell in enumerate(row)).rstrip() for row in rows
    ]
    lines.insert(1, "  ".join("-" * width for width in widths))
    return "\n".join(lines)
