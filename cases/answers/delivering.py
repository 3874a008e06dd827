"""How an answer leaves the office: handed over, mailed, or fetched at an address of its own."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime
from uuid import UUID

from django.contrib.auth.hashers import make_password
from django.utils import timezone

from cases import access
from cases.access import Act
from cases.actions.entry import case_to_change
from cases.answers import actions, queries, rules
from cases.answers.comparing import why_not_delivered
from cases.answers.models import Answer, Delivery
from cases.answers.since import differs_of
from cases.court.actions import RELEASE_FIELDS, record_release
from cases.court.models import Release
from cases.court.queries import request_for_update
from cases.decisions.queries import standing_of
from cases.packets.built import facts_of, require_as_built
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.ids import new_id
from me_office.audit.records import (
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
)
from me_office.entries import Entry

DELIVERY_FIELDS = ("method", "to_whom", "ends_at", "although")
# How a release is said that was fetched at an address.
RELEASED_AS = {"download": "secure transfer"}


def digest_of_token(token: str) -> str:
    """Return what an address is known by."""
    return hashlib.sha256(token.encode()).hexdigest()


def deliver_answer(
    actor: Staff, *, case_id: UUID, answer_id: UUID, record_id: UUID, version: int, entry: Entry
) -> Delivery:
    """Check the answer's file against its digest, then record how it leaves the office.

    The file is read before any row is locked. `version` is the request's.
    Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid, Conflict.
    """
    answer = queries.answer_of(case_id, answer_id)
    access.require(actor, Act.BUILD_ANSWER, answer.case)
    # Sent once more under its key, it is answered as it was: the file is not read again for it.
    is_new = not Delivery.objects.filter(pk=record_id).exists()
    if is_new:
        require_as_built(answer, "answer")
    return record_delivery(
        actor,
        case_id=case_id,
        answer_id=answer_id,
        record_id=record_id,
        version=version,
        entry=entry,
    )


@action
def record_delivery(
    actor: Staff,
    *,
    case_id: UUID,
    answer_id: UUID,
    record_id: UUID,
    version: int,
    entry: Entry,
    reason: str = "",
) -> Delivery:
    """Record how a built answer leaves the office; the first time its request is answered with it.

    `entry` holds DELIVERY_FIELDS and, of the release, released_at, note, answers and still_due. Of
    a download the token and the code stand on what is returned, and nowhere else: of a request that
    is sent once more they are empty. Raises as `deliver_answer`, which has compared the file.
    """
    case = case_to_change(actor, Act.BUILD_ANSWER, case_id)
    answer = queries.answer_for_update(answer_id, case=case)
    delivery = Delivery(
        pk=record_id,
        case=case,
        answer=answer,
        method=entry.get("method") or "",
        to_whom=(entry.get("to_whom") or "").strip(),
        ends_at=entry.get("ends_at") if entry.get("method") == "download" else None,
        although=(entry.get("although") or "").strip(),
    )
    there = recorded_before(delivery, assigned=("release", "token_sha256", "password", "differed",
                            "called_back_at", "called_back_why"))  # fmt: skip
    if there is not None:
        return there
    if not answer.is_built or answer.is_voided:
        raise Refused("The answer is not built yet.")
    actions.require_all_cases(actor, answer.sent_cases)
    delivery.differed = _differed(actor, answer, delivery.although)
    token = code = ""
    if delivery.method == "download":
        token, code = _secrets(delivery, timezone.now())
    delivery.release = _released(actor, answer, delivery, version, entry)
    kept = save_new(actor, delivery)
    kept.token, kept.code = token, code
    return kept


def _differed(actor: Staff, answer: Answer, although: str) -> str:
    """Return what stands otherwise now, in words, where it may leave all the same. Raises Refused.

    Asked at every delivery: what was right to send in March may be sealed in May.
    """
    standing = standing_of(answer.request, actor)
    found = differs_of([answer], standing, knows_all=True)[answer]
    may_although = actor.pk not in standing.deciders and all(
        access.may(actor, Act.APPROVE_RELEASE, case)
        for case in standing.cases
        if case.pk in answer.sent_cases
    )
    why_not = why_not_delivered(found, although=although, may_although=may_although)
    if why_not:
        raise Refused(why_not, field="although" if although else "")
    return " ".join(one.words for one in found)


def _secrets(delivery: Delivery, now: datetime) -> tuple[str, str]:
    """Make the token and the code of an address; only what they are compared by is kept."""
    if delivery.ends_at is None:
        raise Refused("Say until when the address opens.", field="ends_at")
    wrong = rules.wrong_end(delivery.ends_at, now)
    if wrong:
        raise Refused(wrong, field="ends_at")
    token = secrets.token_urlsafe(32)
    code = "".join(secrets.choice(rules.CODE_LETTERS) for _ in range(rules.CODE_LENGTH))
    delivery.token_sha256 = digest_of_token(token)
    delivery.password = make_password(code)
    return token, code


def _released(
    actor: Staff, answer: Answer, delivery: Delivery, version: int, entry: Entry
) -> Release:
    """Return the release of this answer; recorded now where it leaves the first time."""
    there: Release | None = Release.objects.active().filter(packet_id=answer.pk).first()
    if there is not None:
        # It leaves once more. Of two who send it at the same time the second is told.
        asked = request_for_update(answer.case, answer.request_id)
        require_version(asked, version)
        save_next_version(actor, asked)
        return there
    said = {name: entry[name] for name in RELEASE_FIELDS if name in entry}
    said |= {
        "released_to": delivery.to_whom,
        "method": RELEASED_AS.get(delivery.method, delivery.method),
        "released_by": actor,
        "released_at": entry.get("released_at") or timezone.now(),
    }
    return record_release(
        actor,
        case_id=answer.case_id,
        request_id=answer.request_id,
        record_id=new_id(),
        version=version,
        packet=facts_of(answer),
        entry=said,
    )


@action
def call_back_delivery(
    actor: Staff, *, case_id: UUID, delivery_id: UUID, version: int, reason: str
) -> Delivery:
    """Close the address of a delivery at once, also for a download that is under way.

    What was fetched before is fetched. Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.BUILD_ANSWER, case_id)
    delivery = queries.delivery_for_update(case, delivery_id)
    require_version(delivery, version)
    why = require_reason(reason)
    if delivery.method != "download" or delivery.ends_at is None:
        raise Refused("Only an address can be closed.")
    if delivery.called_back_at is not None:
        raise Refused("The address was closed already.")
    delivery.called_back_at, delivery.called_back_why = timezone.now(), why[:240]
    return save_next_version(actor, delivery)
