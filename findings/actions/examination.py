"""The examination itself: opened, recorded, and its negative statements confirmed."""

from __future__ import annotations

from uuid import UUID

from django.conf import settings
from django.utils import timezone

from findings.actions.deriving import derive_all_again
from findings.actions.entry import case_to_examine, opened, refuse
from findings.models import Examination, Mark
from findings.queries import examination_of
from findings.questions import negatives
from findings.rules import kind_needs_reason, wrong_with_times
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Invalid, Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import recorded_before, require_version, save_new, save_next_version
from me_office.entries import Entry
from me_office.units import with_kept_units

OPENING_FIELDS = (
    "kind",
    "kind_reason",
    "chart_body",
    "began_at",
    "place",
    "present",
    "circumstances_reviewed",
)
LONG_TEXTS = (
    "clothing",
    "external",
    "postmortem_changes",
    "treatment",
    "cavities",
    "internal",
    "deep_dissection",
)
RECORDING_FIELDS = (
    *OPENING_FIELDS,
    "ended_at",
    "crown_heel_cm",
    "crown_heel_cm_read",
    "body_weight_kg",
    "body_weight_kg_read",
    "left_main_percent",
    "lad_percent",
    "circumflex_percent",
    "rca_percent",
    "blood_right_chest_ml",
    "blood_left_chest_ml",
    "blood_pericardium_ml",
    "blood_abdomen_ml",
    "blood_epidural_ml",
    "blood_subdural_ml",
    *LONG_TEXTS,
)

KEPT_UNITS = {"crown_heel_cm": ("cm", 1), "body_weight_kg": ("kg", 2)}


@action
def open_examination(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Entry, reason: str = ""
) -> Examination:
    """Open the examination of a case; whoever opens it is its pathologist.

    `entry` takes any of RECORDING_FIELDS. Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    case = case_to_examine(actor, case_id)
    examination = Examination(pk=record_id, case=case, pathologist=actor)
    set_fields(examination, _in_kept_units(entry), RECORDING_FIELDS, whole=True)
    there = recorded_before(examination)
    if there is not None:
        return there
    if examination_of(case) is not None:
        raise Refused("The examination of this case is already open.")
    _check(examination)
    return save_new(actor, examination)


@action
def record_examination(
    actor: Staff, *, case_id: UUID, version: int, entry: Entry, reason: str = ""
) -> Examination:
    """Write what the examination showed; `entry` takes any of RECORDING_FIELDS.

    A changed crown-heel length moves every derived height with it. Raises NotKnown, NotAllowed,
    StaleRecord, Refused, Invalid.
    """
    case, examination = opened(actor, case_id)
    require_version(examination, version)
    changed = set_fields(examination, _in_kept_units(entry), RECORDING_FIELDS, whole=True)
    _check(examination)
    if "chart_body" in changed and Mark.objects.active().filter(case=case).exists():
        raise Refused(
            "Marks were placed on this drawing, so it cannot be changed. Void the marks first.",
            field="chart_body",
        )
    save_next_version(actor, examination)
    if "crown_heel_cm" in changed:
        derive_all_again(actor, examination)
    return examination


@action
def confirm_negative(
    actor: Staff, *, case_id: UUID, version: int, statement: str, reason: str = ""
) -> Examination:
    """Add one negative statement, confirmed by the person, to the section it belongs to.

    `statement` is a key of `findings.questions.negatives.STATEMENTS`. Raises NotKnown, NotAllowed,
    StaleRecord, Refused.
    """
    case, examination = opened(actor, case_id)
    require_version(examination, version)
    chosen = negatives.STATEMENTS.get(statement)
    if chosen is None or chosen.section == negatives.BY_SYSTEM:
        raise Refused("There is no such statement.", field="statement")
    wrong = negatives.why_not_shown(chosen, examination.kind)
    wrong = wrong or negatives.why_of_another_sex(chosen, case.decedent.sex, examination.chart_body)
    if wrong:
        raise Refused(wrong, field="statement")
    written = getattr(examination, chosen.section)
    if negatives.is_stated(chosen, written):
        raise Refused("This is stated already.", field="statement")
    first = negatives.needed_first(chosen, examination.deep_dissection)
    if first:
        raise Refused(first, field="statement")
    setattr(examination, chosen.section, negatives.added(chosen, written))
    return save_next_version(actor, examination)


def _in_kept_units(entry: Entry) -> dict[str, object]:
    said, wrong = with_kept_units(entry, KEPT_UNITS)
    if wrong:
        raise Invalid({name: [sentence] for name, sentence in wrong.items()})
    return said


def _check(examination: Examination) -> None:
    normal = settings.NORMAL_EXAMINATIONS
    if kind_needs_reason(examination.kind, normal) and not examination.kind_reason:
        words = " or ".join(words for kind, words in Examination.KINDS if kind in normal)
        raise Refused(f"Say why: the normal course here is {words}.", field="kind_reason")
    if examination.began_at is not None:
        refuse(
            wrong_with_times(
                began_at=examination.began_at,
                ended_at=examination.ended_at,
                now=timezone.now(),
            )
        )
