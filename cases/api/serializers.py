"""What clients send and get. Serializers check shape and print; actions decide."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from cases.actions.entry import names_entered
from cases.actions.report import CASE_NAMES, DECEDENT_NAMES, REPORT_NAMES
from cases.models import (
    BodyReceipt,
    Case,
    Decedent,
    Identification,
    JurisdictionDecision,
    Medication,
    Person,
    Place,
    ReportOfDeath,
    Scene,
    SceneReading,
    TeamMember,
)
from me_office.accounts.models import Staff
from me_office.audit.models import Record
from me_office.shell.api_moment import ApiMomentField
from me_office.shell.shapes import Shape, shape_of


class VersionedInput(serializers.Serializer[Any]):
    """Which record was read, and why it is changed."""

    version = serializers.IntegerField(min_value=0)
    reason = serializers.CharField(required=False, allow_blank=True, default="")


class ReasonInput(VersionedInput):
    """Which record was read, and why: the reason has to be given."""

    reason = serializers.CharField()


class KeyedInput(VersionedInput):
    """A record with the key its client made; `version` 0 makes it."""

    id = serializers.UUIDField()


CaseWords = shape_of(
    "CaseWords", Case, CASE_NAMES,
    "The words that name a case.",
)  # fmt: skip


class DecedentWords(serializers.ModelSerializer[Decedent]):
    """What is known of the decedent."""

    class Meta:
        model = Decedent
        fields = DECEDENT_NAMES


ReportWords = shape_of(
    "ReportWords", ReportOfDeath, REPORT_NAMES,
    "What the caller said.",
)  # fmt: skip


class LogReportInput(serializers.Serializer[Any]):
    """A first call: the report of death, the case's words and the decedent as known."""

    id = serializers.UUIDField(help_text="Key of the new case, made by the client")
    case = CaseWords()
    decedent = DecedentWords(required=False)
    report = ReportWords()


class CorrectReportInput(ReasonInput):
    """A corrected report of death, with the reason."""

    case = CaseWords(required=False)
    report = ReportWords()


ReportOfDeathOutput = shape_of(
    "ReportOfDeathOutput", ReportOfDeath, ("id", "version", *REPORT_NAMES),
    "The report of death.",
)  # fmt: skip


class DecedentInput(VersionedInput, DecedentWords):
    """What is known of the decedent, changed."""

    class Meta(DecedentWords.Meta):
        fields = ("version", "reason", *DECEDENT_NAMES)


DecedentOutput = shape_of(
    "DecedentOutput", Decedent, ("id", "version", "full_name", "identity", *DECEDENT_NAMES),
    "The decedent; `identity` follows the latest step of identification.",
    full_name=serializers.CharField(),
)  # fmt: skip
CaseOutput = shape_of(
    "CaseOutput", Case,
    ("id", "version", "number", "state", "restricted", "reported_at", *CASE_NAMES,
     "investigator", "investigator_id", "pathologist", "pathologist_id", "signed_at",
     "decedent"),
    "A case.",
    decedent=DecedentOutput(),
    investigator=serializers.CharField(source="investigator.display_name", default=None),
    pathologist=serializers.CharField(source="pathologist.display_name", default=None),
)  # fmt: skip


class CasePageOutput(serializers.Serializer[Any]):
    """One page of the list of cases; `next` is the key for `after`."""

    count = serializers.IntegerField(help_text="How many there are; stops where counting does")
    counted_all = serializers.BooleanField(help_text="Whether `count` is all of them")
    next = serializers.CharField(allow_blank=True)
    cases = CaseOutput(many=True)


class MatchOutput(serializers.Serializer[Any]):
    """A case that was found, and why."""

    case = CaseOutput()
    why = serializers.ListField(child=serializers.CharField())


class FoundOutput(serializers.Serializer[Any]):
    """The cases that were found, best first."""

    more = serializers.BooleanField()
    matches = MatchOutput(many=True)


class JurisdictionInput(serializers.Serializer[Any]):
    """A decision on jurisdiction; `version` is the case's."""

    id = serializers.UUIDField(help_text="Key of the decision, made by the client")
    version = serializers.IntegerField(min_value=1)
    ground = serializers.CharField(required=False, allow_blank=True, max_length=160, default="")
    reason = serializers.CharField()
    decided_at = ApiMomentField(required=False, allow_null=True, default=None)


JurisdictionOutput = shape_of(
    "JurisdictionOutput", JurisdictionDecision,
    ("id", "version", "outcome", "ground", "why", "decided_at", "decided_by", "case_number",
     "case_version"),
    "A decision on jurisdiction, with the case number it gave.",
    decided_by=serializers.CharField(source="decided_by.display_name"),
    case_number=serializers.CharField(source="case.number", allow_null=True),
    case_version=serializers.IntegerField(source="case.version"),
)  # fmt: skip


def record_shapes(
    name: str, model: type[Record], says: str, *, printed: str = "", shown: tuple[str, ...],
    names: tuple[str, ...] | None = None, meta: dict[str, object] | None = None, **declared: Any,
) -> tuple[Shape, Shape]:  # fmt: skip
    """Return what is sent of a record (`...Input`) and what is printed of it (`...Output`).

    `names` are the fields that a person enters, `shown` those that are printed before them;
    `printed` describes the output where that is not the input's description.
    """
    entered = names_entered(model) if names is None else names
    return (
        shape_of(
            f"{name}Input", model, ("id", "version", "reason", *entered), says,
            bases=(KeyedInput,), meta=meta, **declared,
        ),
        shape_of(f"{name}Output", model, (*shown, *entered), printed or says),
    )  # fmt: skip


def active_staff(**options: Any) -> Any:
    """Return the field that names one of the office's people, or (`many`) several."""
    return serializers.PrimaryKeyRelatedField(
        queryset=Staff.objects.filter(is_active=True), required=False, **options
    )


KEPT = ("id", "version")
VOIDABLE = ("id", "version", "voided_at")

SceneInput, SceneOutput = record_shapes(
    "Scene", Scene, "What was seen at the scene.", printed="The scene.", shown=KEPT
)
ReceiptInput, ReceiptOutput = record_shapes(
    "Receipt", BodyReceipt,
    "The body's receipt; without `received_by` it was the person who sends this.",
    printed="The body's receipt.", shown=KEPT, received_by=active_staff(),
)  # fmt: skip
PlaceInput, PlaceOutput = record_shapes(
    "Place", Place, "Another place of the case, or another position of the body.", shown=VOIDABLE
)
ReadingInput, ReadingOutput = record_shapes(
    "Reading", SceneReading, "A temperature.", shown=VOIDABLE,
    # What was read in another unit makes the value.
    meta={"extra_kwargs": {"value_c": {"required": False}}},
)  # fmt: skip
MedicationInput, MedicationOutput = record_shapes(
    "Medication", Medication, "A medicine or drug found.", shown=VOIDABLE
)
PersonInput, PersonOutput = record_shapes(
    "Person", Person, "Somebody connected with the death.", shown=VOIDABLE
)
IdentificationInput, IdentificationOutput = record_shapes(
    "Identification", Identification, "A step of identification.", shown=VOIDABLE
)


class AssignmentInput(VersionedInput):
    """Who works on a case; `version` is the case's. Null takes away, absent leaves as it is."""

    investigator = active_staff(allow_null=True)
    pathologist = active_staff(allow_null=True)


class RestrictInput(ReasonInput):
    """Whom a case is restricted to, besides the sender and those assigned."""

    members = active_staff(many=True)


class TeamMemberInput(serializers.Serializer[Any]):
    """One more person on the team."""

    id = serializers.UUIDField(help_text="Key of the membership, made by the client")
    member = serializers.PrimaryKeyRelatedField(queryset=Staff.objects.filter(is_active=True))
    reason = serializers.CharField(required=False, allow_blank=True, default="")


TeamMemberOutput = shape_of(
    "TeamMemberOutput", TeamMember, ("id", "version", "member", "name", "voided_at"),
    "A membership of a case's team.",
    name=serializers.CharField(source="member.display_name"),
)  # fmt: skip
