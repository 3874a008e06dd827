"""What each act on a request's decisions begins with: the locked case, and what it ends.

Each locks the request's case first: whoever decides and whoever approves the same request wait for
each other.
"""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from cases.access import Act, require
from cases.court.models import RecordsRequest, RequestCase
from cases.court.opening import request_to_change
from cases.court.rules import RequestState
from cases.decisions.models import Approval
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.audit.errors import Refused, known
from me_office.audit.records import void

OUTDATED = "What was decided has changed since."


def request_to_decide(
    actor: Staff, act: Act, case_id: UUID, request_id: UUID
) -> tuple[RecordsRequest, dict[UUID, Case]]:
    """Return a request of the case, locked with it, and all its cases. Raises NotKnown, NotAllowed.

    Whatever is decided of a request is written under the lock of its own case. Its further cases
    are read as they are: two requests that name each other's case would wait for each other.
    """
    asked = request_to_change(actor, case_id, request_id, act=act)
    further = RequestCase.objects.active().filter(request=request_id, request__case=case_id)
    rows = Case.objects.filter(pk__in=further.values("case_id"))
    return asked, {asked.case_id: asked.case, **{one.pk: one for one in rows}}


def require_open(asked: RecordsRequest) -> None:
    """Refuse to decide of a request that is answered or withdrawn. Raises Refused."""
    if asked.state != RequestState.OPEN:
        raise Refused(f"The request is {asked.state}; nothing more is decided about it.")


def case_of(actor: Staff, act: Act, cases: Mapping[UUID, Case], of_case: UUID | None) -> Case:
    """Return one of the request's cases that the person may decide about. Raises NotKnown."""
    case = known(cases.get(of_case) if of_case else None, "record")
    require(actor, act, case)
    return case


def end_standing_approval(actor: Staff, asked: RecordsRequest) -> None:
    """Withdraw the approval that stands: it was of other decisions."""
    approval = Approval.objects.active().filter(request=asked).first()
    if approval is not None:
        void(actor, approval, reason=OUTDATED)
