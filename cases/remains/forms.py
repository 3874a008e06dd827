"""Forms of holds, release and return, cremation approval and disposition."""

from __future__ import annotations

from typing import Any

from cases.forms import offer
from cases.forms.changed import ChangedForm
from cases.queries.people import staff_holding
from cases.remains.models import (
    BodyHold,
    BodyRelease,
    BodyReturn,
    CremationDecision,
    CremationRequest,
    Disposition,
)
from me_office.accounts.roles import Role
from me_office.shell.forms import OfficeForm, RecordForm, long_text, say_needed


class _ChangedForm(ChangedForm):
    """`who` is the field of the member of staff; nobody chosen means whoever enters it."""

    who = ""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.who:
            staff = staff_holding(Role.INVESTIGATOR, Role.EVIDENCE_TECHNICIAN, Role.SUPERVISOR)
            offer(self, self.who, staff, nobody="you")
            self.fields[self.who].required = False

    @property
    def entry(self) -> dict[str, Any]:
        """What an action takes."""
        said = super().entry
        if self.who and said.get(self.who) is None:
            said.pop(self.who, None)
        return said


class HoldForm(RecordForm, of=BodyHold):
    """The body stays until this is lifted."""

    rows = {"why": 2}
    buttons = ("kind",)
    begins_now = "placed_at"
    labels = {
        "kind": "Type of hold",
        "asked_by": "Requested by",
        "placed_at": "Since",
    }


class ReleaseForm(_ChangedForm, of=BodyRelease):
    """The body leaves the office."""

    who, begins_now = "released_by", "released_at"
    buttons = ("authority", "belongings")
    needed = {
        "belongings_given": "required if anything is given",
        "belongings_kept": "required if anything is kept",
    }
    rows = {
        **dict.fromkeys(("belongings_given", "belongings_kept", "wrap", "told"), 2),
        "identity_remark": 2,
    }
    labels = {
        "authority": "Basis of authority",
        "relation": "Relation or office",
        "authority_seen": "Documents shown",
        "tag_number": "Tag, as read on the body",
        "second_reader": "Read a second time by",
        "identity_remark": "Remark on identity",
        "receiver_license": "License number",
        "belongings_given": "Given",
        "belongings_kept": "Kept by the office",
        "wrap": "Bag, wrap and seals",
        "told": "What the receiver was told",
    }
    asks = [
        "authority", "authorized_by", "relation", "authority_seen", "tag_number",
        "second_reader", "identity_remark", "released_to", "receiver_license", "taken_by",
        "identification_seen", "released_at", "released_by", "belongings",
        "belongings_given", "belongings_kept", "wrap", "told",
    ]  # fmt: skip
    help_texts = {
        "authorized_by": "The person who decides where the body goes.",
        "authority_seen": "Signed release, order or permit, with number and date.",
        "identity_remark": "If the tag was replaced or identity is not confirmed: on "
        "what ground the body is released.",
        **dict.fromkeys(("relation", "tag_number", "wrap"), ""),
        "second_reader": "Someone other than the person releasing the body; it may be the "
        "receiver.",
        "identification_seen": "Type of document and who issued it, not its full number.",
        "belongings_given": "Item by item. Also hand over sealed property on its own page.",
        "told": "Infection risk, implanted devices, radioactive sources, organs retained.",
    }


class ReturnForm(_ChangedForm, of=BodyReturn):
    """A released body comes back."""

    who, begins_now = "received_by", "returned_at"
    buttons = ("purpose",)
    rows = {"condition": 3}
    labels = {
        "purpose": "Reason for the return",
        "authority": "Order or consent",
        "returned_at": "Received at",
        "tag_number": "Number on the body tag",
        "condition": "As received",
    }
    asks = [
        "purpose", "authority", "returned_at", "received_by", "delivered_by",
        "received_from", "tag_number", "condition", "kept_at",
    ]  # fmt: skip


class LiftForm(OfficeForm):
    """Why a hold is lifted."""

    rows = {"reason": 2}
    reason = long_text(
        "Reason for lifting", "Who agreed, and when. Kept permanently, in your name."
    )


class CremationForm(RecordForm, of=CremationRequest):
    """Somebody asks for approval of a cremation."""

    rows = {"cause_words": 2, "note": 2}
    begins_now = "asked_at"
    labels = {
        "asked_by": "Requested by",
        "contact": "Send the answer to",
        "asked_at": "Requested at",
        "certifier": "Who certifies the death",
        "cause_words": "Cause of death on the certificate",
    }


class DecisionForm(RecordForm, of=CremationDecision):
    """The answer to a request for cremation approval."""

    rows = {"why": 2}
    buttons = ("outcome",)
    begins_now = "decided_at"
    labels = {"outcome": "Cremation is"}
    help_texts = {"why": "Required for a refusal and when an earlier decision is changed."}

    def __init__(self, *args: Any, asked: CremationRequest, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        decided = asked.outcome != "open"
        say_needed(self, "required" if decided else "required for a refusal", "why")
        # What was read is the request.
        self.fields["version"].initial = asked.version


class DispositionForm(_ChangedForm, of=Disposition):
    """What became of the remains."""

    buttons = ("method",)
    needed = {"method_other": "required for another method"}
    labels = {
        "method": "Method of disposition",
        "method_other": "Other, in words",
        "facility": "Funeral facility",
        "done_on": "On",
    }
