"""API of cause and manner."""

from __future__ import annotations

from rest_framework import serializers

from cases.api.shared import CASE, framed, key
from cases.certification import actions
from cases.certification.cautions import cautions_on
from cases.certification.codes import CERTIFIER, MANNER
from cases.certification.items import certifier_items_left, intervals_left, other_items_left
from cases.certification.models import Certification
from cases.certification.queries import age_in_years, certification_of, kind_of_examination
from me_office.audit.fields import said_of
from me_office.shell.endpoints import at, changes, reads
from me_office.shell.shapes import sent_shape

CertificationInput = sent_shape(
    "CertificationInput", Certification, ("id", "version", *actions.FIELDS, "reason"),
    "What a client sends.",
    version=serializers.IntegerField(min_value=0),
    reason=serializers.CharField(required=False, allow_blank=True, default=""),
)  # fmt: skip


class CertificationOutput(serializers.ModelSerializer[Certification]):
    """What stands."""

    stated_by = serializers.CharField(source="stated_by.printed_name")
    manner_words = serializers.CharField(help_text="The manner as the certificate words it")
    manner_code = serializers.SerializerMethodField()
    certifier_code = serializers.SerializerMethodField()
    cautions = serializers.SerializerMethodField()
    items_left = serializers.SerializerMethodField()

    class Meta:
        model = Certification
        fields = [
            "id", "version", *actions.FIELDS, "manner_words", "manner_code",
            "certifier_code", "stated_at", "stated_by", "cautions", "items_left",
        ]  # fmt: skip

    def get_manner_code(self, record: Certification) -> str:
        """Return the manner's code in SNOMED CT."""
        return MANNER.get(record.manner, "")

    def get_certifier_code(self, record: Certification) -> str:
        """Return the code in SNOMED CT of the type of certifier, empty where none is stated."""
        return CERTIFIER.get(record.certifier_type, "")

    def get_cautions(self, record: Certification) -> list[str]:
        """Return what a certifier may want to look at again."""
        return cautions_on(
            _entry_of(record),
            age_years=age_in_years(record),
            sex=record.case.decedent.sex,
            kind=kind_of_examination(record),
        )

    def get_items_left(self, record: Certification) -> list[str]:
        """Return the items of the certificate that are asked and not stated."""
        entry, decedent = _entry_of(record), record.case.decedent
        return [
            *intervals_left(entry),
            *other_items_left(entry, sex=decedent.sex, age_years=age_in_years(record)),
            *certifier_items_left(entry),
        ]


def _entry_of(record: Certification) -> dict[str, object]:
    return said_of(record, actions.FIELDS)


routes = [
    at(f"{CASE}/cause-and-manner/", "cause-and-manner",
       get=reads("cause_and_manner_read", key(framed("cause_and_manner")), certification_of,
           CertificationOutput, "Return the opinion that stands.",
           absent="Cause and manner are not stated yet."),
       put=changes("cause_and_manner_state", actions.state_cause_and_manner, CertificationInput,
           CertificationOutput,
           "State or change the opinion; `version` 0 states it for the first time.")),
]  # fmt: skip
