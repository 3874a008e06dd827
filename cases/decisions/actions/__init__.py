"""Every act on what may go out for a request: reached, decided, stopped, asked, approved."""

from cases.decisions.actions.approving import approve_release, end_approval
from cases.decisions.actions.grounds import (
    GROUND_FIELDS,
    add_ground,
    replace_ground,
    set_proposal_rule,
    withdraw_ground,
)
from cases.decisions.actions.items import MOST_AT_ONCE, Picked, decide_items, set_aside_sent
from cases.decisions.actions.looks import answer_look, ask_to_look, withdraw_look
from cases.decisions.actions.reach import REACH_FIELDS, leave_out_records, reach_records
from cases.decisions.actions.request import OUTDATED
from cases.decisions.actions.stops import (
    SETTLED_FIELDS,
    STOP_FIELDS,
    lift_stop,
    note_stop,
    settle_stop,
)

__all__ = [
    "GROUND_FIELDS",
    "MOST_AT_ONCE",
    "OUTDATED",
    "REACH_FIELDS",
    "SETTLED_FIELDS",
    "STOP_FIELDS",
    "Picked",
    "add_ground",
    "answer_look",
    "approve_release",
    "ask_to_look",
    "decide_items",
    "end_approval",
    "leave_out_records",
    "lift_stop",
    "note_stop",
    "reach_records",
    "replace_ground",
    "set_aside_sent",
    "set_proposal_rule",
    "settle_stop",
    "withdraw_ground",
    "withdraw_look",
]
