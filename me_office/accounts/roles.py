"""The office's roles. A role is a group; a person may hold several."""

from __future__ import annotations

from enum import StrEnum


class Role(StrEnum):
    """What kind of work a person does. The value is the group's name."""

    INVESTIGATOR = "investigator"
    PATHOLOGIST = "pathologist"
    SUPERVISOR = "supervisor"
    RECORDS_CLERK = "records clerk"
    EVIDENCE_TECHNICIAN = "evidence technician"
    ADMINISTRATOR = "administrator"


CASE_ROLES = frozenset(Role) - {Role.ADMINISTRATOR}
