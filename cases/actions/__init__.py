"""Every change of the case file itself: report, jurisdiction, scene, body, people, assignment."""

from cases.actions.assignment import (
    add_team_member,
    assign_case,
    remove_team_member,
    restrict_case,
    unrestrict_case,
)
from cases.actions.body import (
    describe_decedent,
    receive_body,
    record_identification,
    void_identification,
)
from cases.actions.jurisdiction import accept_jurisdiction, decline_jurisdiction, move_case
from cases.actions.not_done import state_not_done, void_not_done
from cases.actions.report import correct_report_of_death, log_report_of_death
from cases.actions.scene import (
    record_medication,
    record_person,
    record_place,
    record_reading,
    record_scene,
    void_medication,
    void_person,
    void_place,
    void_reading,
)

__all__ = [
    "accept_jurisdiction",
    "add_team_member",
    "assign_case",
    "correct_report_of_death",
    "decline_jurisdiction",
    "describe_decedent",
    "log_report_of_death",
    "move_case",
    "receive_body",
    "record_identification",
    "record_medication",
    "record_person",
    "record_place",
    "record_reading",
    "record_scene",
    "remove_team_member",
    "restrict_case",
    "state_not_done",
    "unrestrict_case",
    "void_identification",
    "void_medication",
    "void_not_done",
    "void_person",
    "void_place",
    "void_reading",
]
