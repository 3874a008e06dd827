"""Endpoints of leave."""

from __future__ import annotations

from rest_framework import serializers

from cases.access import Act, require_role
from cases.calendars import actions, queries
from cases.calendars.models import Leave
from findings.api.serializers import VoidSerializer
from me_office.accounts.models import Staff
from me_office.shell.endpoints import at, changes, saves, tells
from me_office.shell.shapes import sent_shape, shape_of

LeaveOutput = shape_of(
    "LeaveOutput", Leave, ("id", "version", *actions.LEAVE_FIELDS, "voided_at"),
    "Days on which somebody is away.",
)  # fmt: skip
LeaveInput = sent_shape(
    "LeaveInput", Leave, ("id", "version", *actions.LEAVE_FIELDS, "reason"),
    "Leave; `version` 0 makes it, a change needs its reason.",
    version=serializers.IntegerField(min_value=0),
    reason=serializers.CharField(max_length=500, required=False, write_only=True),
)  # fmt: skip


def _leave(actor: Staff) -> list[Leave]:
    require_role(actor, Act.SEE, called="see leave")
    return list(queries.leave_page().rows)


routes = [
    at("leave/", "leave",
       get=tells("leave_list", _leave, LeaveOutput, "Read who is away, now and later."),
       post=saves("leave_keep", actions.keep_leave, LeaveInput, LeaveOutput, "Keep leave.")),
    at("leave/<uuid:record_id>/void/", "leave-void",
       post=changes("leave_void", actions.withdraw_leave, VoidSerializer, LeaveOutput,
           "Withdraw leave, with the reason.")),
]  # fmt: skip
