"""Redactions: asking for a copy in which regions are hidden, keeping it, taking it back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from cases.access import Act
from cases.actions.entry import case_to_change, withdraws
from cases.actions.requests import Alike
from cases.exhibits import queries
from cases.exhibits.models import Redaction, RedactionRequest
from cases.exhibits.rules import Region
from evidence import store
from evidence.photographs.queries import photograph_for_update
from evidence.store import Incoming
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused, StaleRecord
from me_office.audit.records import recorded_before, require_reason, require_version, save_new, void
from me_office.jobs import actions as jobs
from me_office.jobs.rules import UNDER_WAY

REDACTION_TASK = "cases.exhibits.tasks.make_redaction"


@dataclass(frozen=True)
class Burned:
    """The two copies of a redaction, in the temporary place, and how they were made."""

    regions: Sequence[Region]
    parent_sha256: str
    operations: Sequence[str]
    software: str
    whole: Incoming
    screen: Incoming


@action
def request_redaction(
    actor: Staff,
    *,
    case_id: UUID,
    photograph_id: UUID,
    record_id: UUID,
    version: int,
    regions: Sequence[Region],
    reason: str,
) -> RedactionRequest:
    """Ask for a copy in which regions are hidden; a worker makes it under the same key.

    `version` is that of the redaction which stands now and is replaced, 0 where none stands.
    Raises NotAllowed, NotKnown, StaleRecord, Refused, Conflict.
    """
    case = case_to_change(actor, Act.PREPARE_EXHIBITS, case_id)
    photograph = photograph_for_update(case, photograph_id)
    asked = RedactionRequest(
        pk=record_id,
        case=case,
        photograph=photograph,
        regions=[region.as_entry() for region in regions],
        why=require_reason(reason),
        replaces=version,
    )
    there = recorded_before(asked, assigned=("state", "attempts", "failure"))
    if there is not None:
        return there
    if photograph.is_voided:
        raise Refused("This photograph was withdrawn.")
    standing = queries.active_redaction(photograph)
    _require_read(photograph.pk, standing, version)
    waiting = photograph.redaction_requests.filter(voided_at=None, state__in=UNDER_WAY)
    if waiting.exists():
        raise Refused("A redacted copy of this photograph is being made. Wait until it is ready.")
    save_new(actor, asked)
    jobs.send_after_commit(REDACTION_TASK, asked.pk)
    return asked


def _require_read(photograph_id: UUID, standing: Redaction | None, version: int) -> None:
    """Refuse who did not read the redaction that stands now. Raises StaleRecord."""
    if standing is not None:
        require_version(standing, version)
    elif version:
        latest = Redaction.objects.filter(photograph=photograph_id).order_by("-created_at").first()
        raise StaleRecord(latest)


@action
def finish_redaction(
    actor: Staff, *, request_id: UUID, attempt: int, burned: Burned, reason: str
) -> Redaction:
    """Keep the copy that was made; the original is not touched. The one that stood is replaced.

    Raises NotAllowed, NotKnown, StaleRecord, Refused, TakenOver.
    """
    asked = queries.redaction_request_for_update(request_id)
    case = case_to_change(actor, Act.PREPARE_EXHIBITS, asked.case_id)
    photograph = photograph_for_update(case, asked.photograph_id)
    jobs.require_attempt(asked, attempt)
    if photograph.is_voided:
        raise Refused("This photograph was withdrawn.")
    if burned.parent_sha256 != photograph.file.sha256:
        raise Refused("The copy was not made from this photograph's original.")
    made = Redaction(
        pk=asked.pk,
        case=case,
        photograph=photograph,
        regions=asked.regions,
        why=asked.why,
        parent_sha256=burned.parent_sha256,
        operations=list(burned.operations),
        software=burned.software,
    )
    _replace(actor, photograph_id=photograph.pk, version=asked.replaces, reason=made.why)
    jobs.finish(actor, asked)
    made.file = store.publish(burned.whole, folder=store.DERIVED)
    made.screen_file = store.publish(burned.screen, folder=store.DERIVED)
    return save_new(actor, made)


def _replace(actor: Staff, *, photograph_id: UUID, version: int, reason: str) -> None:
    standing = Redaction.objects.active().select_for_update().filter(photograph=photograph_id)
    replaced: Redaction | None = standing.first()
    _require_read(photograph_id, replaced, version)
    if replaced is not None:
        void(actor, replaced, reason=f"Replaced: {reason}")


# From now on the photograph is shown as it is; the redacted copy stays in the store.
void_redaction = withdraws(
    "void_redaction", Act.PREPARE_EXHIBITS, queries.redaction_for_update, key="redaction_id"
)


REDACTION = Alike(
    "redaction",
    Act.PREPARE_EXHIBITS,
    REDACTION_TASK,
    "reads the original",
    queries.redaction_request_for_update,
)
begin_redaction, fail_redaction = REDACTION.begin, REDACTION.fail
retry_redaction, abandon_redaction = REDACTION.retry, REDACTION.abandon
