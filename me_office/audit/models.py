"""The audit trail, and the base of every record that it watches."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any, ClassVar, Self, TypeVar

from django.db import models

from me_office.audit.ids import new_id
from me_office.audit.tables import staff_chosen, staff_later, staff_who

RowT = TypeVar("RowT", bound=models.Model)


class ActiveQuerySet(models.QuerySet[RowT]):
    """Rows of a record type; `active()` leaves out what was voided."""

    def active(self) -> Self:
        """Return the rows that were not voided."""
        return self.filter(voided_at=None)


def rows_of(model: type[RowT]) -> ActiveQuerySet[RowT]:
    """Return all rows of a record type that is known at run time only."""
    return ActiveQuerySet(model)


class Record(models.Model):
    """A record that people edit: key, version, who and when, voided instead of deleted.

    Every table of a concrete class is watched and guarded by triggers (`me_office.audit.guard`).
    """

    watched = True
    kept_for_ever = True
    # Kept by people for their own work: in no history of the case and in nothing that is released.
    work_notes = False
    # Which state may follow which, where a record has states: the table of its rules.
    state_moves: ClassVar[Mapping[Any, Collection[Any]] | None] = None

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)
    created_at = models.DateTimeField(auto_now_add=True, editable=False)
    created_by = staff_who()
    changed_at = models.DateTimeField(auto_now=True, editable=False)
    changed_by = staff_who()
    voided_at = models.DateTimeField(null=True, blank=True, editable=False)
    voided_by = staff_later()
    void_reason = models.TextField(blank=True, editable=False)

    objects = ActiveQuerySet.as_manager()

    class Meta:
        abstract = True

    @property
    def is_voided(self) -> bool:
        """Tell whether the record was withdrawn."""
        return self.voided_at is not None


class AuditEvent(models.Model):
    """One change of one row, written by the database itself. Never changed, never removed."""

    append_only = True

    id = models.BigAutoField(primary_key=True)
    at = models.DateTimeField()
    # The act: one number for all events of one transaction, later acts have larger ones. It is made
    # of the moment the transaction began, so that it stays one number after a restore, and is above
    # all that was written before, also where the clock was set back or the act had to wait.
    transaction = models.BigIntegerField()
    table = models.CharField(max_length=63)
    operation = models.CharField(max_length=6)
    record_id = models.CharField(max_length=64)
    case_id = models.UUIDField(null=True)
    changes = models.JSONField()
    act = models.CharField(max_length=80, blank=True)
    reason = models.TextField(blank=True)
    actor_id = models.UUIDField(null=True)
    actor_name = models.CharField(max_length=120, blank=True)
    actor_roles = models.CharField(max_length=200, blank=True)
    source = models.CharField(max_length=20)
    request_id = models.CharField(max_length=64, blank=True)
    address = models.CharField(max_length=64, blank=True)
    database_role = models.CharField(max_length=63)

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(fields=["case_id", "transaction", "id"], name="audit_event_by_case_act"),
            models.Index(fields=["transaction", "id"], name="audit_event_by_act"),
            models.Index(fields=["table", "record_id", "id"], name="audit_event_by_record"),
            models.Index(fields=["actor_id", "id"], name="audit_event_by_actor"),
        ]

    def __str__(self) -> str:
        return f"{self.operation} {self.table} {self.record_id}"


class AccessEvent(models.Model):
    """Somebody looked at a case file, a photograph or a packet, or was given a list.

    Of a list `rows` says how many rows it held, and `asked` by what it was filtered; a list over
    several cases has no case. A wrong password or code is kept here too (`looks.FAILED_TRY`): then
    the actor is whose it is, not who tried. Written by `audit_note_look` alone. Never changed,
    never removed.
    """

    append_only = True

    id = models.BigAutoField(primary_key=True)
    at = models.DateTimeField(auto_now_add=True)
    case_id = models.UUIDField(null=True)
    what = models.CharField(max_length=60)
    record_id = models.CharField(max_length=64, blank=True)
    actor_id = models.UUIDField()
    actor_name = models.CharField(max_length=120)
    request_id = models.CharField(max_length=64, blank=True)
    address = models.CharField(max_length=64, blank=True)
    rows = models.PositiveIntegerField(null=True)
    asked = models.JSONField(default=dict)

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(fields=["case_id", "id"], name="access_event_by_case"),
            models.Index(
                fields=["id"], condition=models.Q(case_id=None), name="access_event_of_no_case"
            ),
            models.Index(fields=["actor_id", "id"], name="access_event_by_actor"),
            models.Index(
                fields=["actor_id", "id"],
                condition=models.Q(what="failed try"),
                name="access_event_failed_try",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.actor_name} saw {self.what}"


class RequestAnswer(models.Model):
    """What a request with a client's key was answered with, so that a retry gets the same."""

    id = models.BigAutoField(primary_key=True)
    key = models.UUIDField()
    act = models.CharField(max_length=80)
    ordinal = models.PositiveIntegerField()
    actor = staff_chosen()
    # Of what was sent (`me_office.audit.keys.digest_of`).
    digest = models.CharField(max_length=64, blank=True)
    at = models.DateTimeField(auto_now_add=True)
    record_type = models.CharField(max_length=80, blank=True)
    record_id = models.CharField(max_length=64, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["key", "act", "ordinal"], name="request_answered_once")
        ]
        indexes = [models.Index(fields=["at"], name="request_answer_by_age")]

    def __str__(self) -> str:
        return f"{self.act} {self.key}"
