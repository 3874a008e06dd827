"""Pages of kits and trays."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from cases.access import Act
from cases.course import case_frame
from evidence.custody.item_views import STEP, ItemKind, withdrawal
from evidence.custody.opening_fields import hand_over_start
from evidence.specimens import actions, queries
from evidence.specimens.kit_forms import MovePartForm, RecordKitForm, TakePartOutForm
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_done, answer_form, submitted


@require_http_methods(["GET", "POST"])
def record_kit(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Record a kit or tray: its parts, one seal, its first transfer."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.TAKE_SPECIMEN)
    form = RecordKitForm(request.POST or None, initial=hand_over_start(request))
    kit = submitted(request, form, actions.record_kit, case_id=case_id)
    if kit:
        words = f"Item {kit.item.number} recorded and sealed."
        return answer_done(request, words, "custody:item", case_id=case_id, item_id=kit.item_id)
    return answer_form(request, "evidence/record_kit.html", {"frame": frame}, form)


KITS = ItemKind(
    Act.TAKE_SPECIMEN, "kit_id", queries.kit_of, "evidence:specimens", actions.void_kit,
    lambda kit: (
        f"Item {kit.item.number}, {kit}, will no longer count in this case, and none of its "
        "parts. Numbers are not used again, and seals and transfers stay on record."
    ),
    "Withdraw the kit",
)  # fmt: skip
withdraw_kit = withdrawal(KITS)


@require_http_methods(["GET", "POST"])
def move_part(request: StaffRequest, case_id: UUID, specimen_id: UUID) -> HttpResponse:
    """Put a part that was recorded in the wrong kit into the kit that it is in."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.TAKE_SPECIMEN)
    shown = queries.part_of(frame.case, specimen_id)
    kits = queries.other_kits(shown)
    form = MovePartForm(request.POST or None, record=shown, kits=kits)
    done = submitted(request, form, actions.move_part, case_id=case_id, specimen_id=specimen_id)
    if done:
        number, kit = done.item.number, form.cleaned_data["kit"].item.number
        words = f"Item {number} is recorded in item {kit}."
        return answer_done(request, words, "custody:item", case_id=case_id, item_id=done.item_id)
    context = {"frame": frame, "specimen": shown, "kits": kits}
    return answer_form(request, "evidence/move_part.html", context, form)


@require_http_methods(["GET", "POST"])
def take_part_out(request: StaffRequest, case_id: UUID, specimen_id: UUID) -> HttpResponse:
    """Keep a part that was never in its kit by itself, under its own seal."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.TAKE_SPECIMEN)
    shown = queries.part_of(frame.case, specimen_id)
    start = hand_over_start(request) | {
        "collected_at": shown.item.collected_at,
        "collected_by": shown.item.collected_by_id,
    }
    form = TakePartOutForm(request.POST or None, record=shown, initial=start)
    done = submitted(request, form, actions.take_part_out, case_id=case_id, specimen_id=specimen_id)
    if done:
        words = f"Item {done.item.number} is kept separately."
        return answer_done(request, words, "custody:item", case_id=case_id, item_id=done.item_id)
    context = {"frame": frame, "specimen": shown}
    return answer_form(request, "evidence/take_part_out.html", context, form)
