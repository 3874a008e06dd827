"""API of amendments: a datum of a signed case, changed under the password of who signs it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from rest_framework import serializers

from cases.actions.entry import names_entered
from cases.api.shared import CASE
from cases.certification.models import Certification
from cases.models import Decedent, Identification
from cases.review import amending
from cases.review.api import AddendumOutput, sign
from cases.review.models import Addendum
from evidence.specimens.models import Specimen
from me_office.shell.endpoints import Answer, Shape, adds, at
from me_office.shell.shapes import NewShape

AMENDMENTS = f"{CASE}/amendments"
SIGNED = ("id", "why", "rests_on", "password")


class Signed(NewShape):
    """`id` is the amendment's key, `why` the printed reason; `password` signs it.

    `rests_on` is the key of the result that it rests on, if any.
    """

    why = serializers.CharField(max_length=2000)
    rests_on = serializers.UUIDField(required=False, allow_null=True)
    password = serializers.CharField(required=False, default="", write_only=True)


class Amended(Signed):
    """Of the record's fields only those are changed that are sent; `version` is the record's."""

    version = serializers.IntegerField(min_value=1)

    def get_fields(self) -> dict[str, Any]:
        """Ask for none of the record's own fields."""
        fields = super().get_fields()
        for name in set(fields) - {"id", "why", "version"}:
            fields[name].required = False
        return fields


class AmendCauseAndManner(Amended, serializers.ModelSerializer[Certification]):
    """Cause and manner, amended."""

    class Meta:
        model = Certification
        fields = (*SIGNED, "version", *amending.TARGETS["cause-and-manner"].names)
        validators: list[object] = []


class AmendDecedent(Amended, serializers.ModelSerializer[Decedent]):
    """Who the decedent is, amended."""

    class Meta:
        model = Decedent
        fields = (*SIGNED, "version", *amending.TARGETS["decedent"].names)
        validators: list[object] = []


class AmendSpecimen(Amended, serializers.ModelSerializer[Specimen]):
    """What is said about a specimen, amended."""

    class Meta:
        model = Specimen
        fields = (*SIGNED, "version", *amending.TARGETS["specimen"].names)
        validators: list[object] = []


class AmendIdentity(Signed, serializers.ModelSerializer[Identification]):
    """A step of identification made since the signature; `step_id` is its key."""

    step_id = serializers.UUIDField()

    class Meta:
        model = Identification
        fields = (*SIGNED, "step_id", *names_entered(Identification))
        validators: list[object] = []


def _amends(operation: str, act: Callable[..., Addendum], takes: Shape, says: str) -> Answer:
    return adds(
        operation, act, takes, AddendumOutput, says, signed=sign,
        keys={"why": "reason", "specimen_id": "of"},
    )  # fmt: skip


routes = [
    at(f"{AMENDMENTS}/cause-and-manner/", "amend-cause-and-manner",
       post=_amends("amend_cause_and_manner",
           partial(amending.amend_record, what="cause-and-manner"), AmendCauseAndManner,
           "Change cause and manner of a signed case; the first version is kept and printed.")),
    at(f"{AMENDMENTS}/decedent/", "amend-decedent",
       post=_amends("amend_decedent", partial(amending.amend_record, what="decedent"),
           AmendDecedent, "Change what a signed case says of the decedent.")),
    at(f"{AMENDMENTS}/identification/", "amend-identification",
       post=_amends("amend_identification", amending.amend_identity, AmendIdentity,
           "Add a step of identification to a signed case.")),
    at(f"{AMENDMENTS}/specimens/<uuid:specimen_id>/", "amend-specimen",
       post=_amends("amend_specimen", partial(amending.amend_record, what="specimen"),
           AmendSpecimen, "Change what a signed case says of a specimen.")),
]  # fmt: skip
