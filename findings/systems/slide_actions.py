"""Slides that were read."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone

from findings.actions import opened
from findings.actions.parts import Part
from findings.systems.models import MicroscopicSlide
from findings.systems.queries import next_slide_number
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import recorded_before, save_new
from me_office.entries import Entry

SLIDE_FIELDS = ("label", "tissue", "stain", "seen", "read_by", "read_on")


def _check(slide: MicroscopicSlide) -> None:
    if slide.read_on is None:
        return
    if slide.read_on > timezone.localdate():
        raise Refused("This day is still to come.", field="read_on")
    if slide.read_on < timezone.localdate(slide.examination.began_at):
        raise Refused("The examination began after this day.", field="read_on")


SLIDE = Part(MicroscopicSlide, "slide_id", SLIDE_FIELDS, named="slide", check=_check)


@action
def record_slide(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Entry, reason: str = ""
) -> MicroscopicSlide:
    """Record what a slide shows; `entry` has SLIDE_FIELDS. Slides are read after the dissection.

    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    case, examination = opened(actor, case_id)
    slide = MicroscopicSlide(pk=record_id, case=case, examination=examination)
    set_fields(slide, entry, SLIDE_FIELDS, whole=True)
    slide.number = next_slide_number(case)
    there = recorded_before(slide, assigned=("number",))
    if there is not None:
        return there
    _check(slide)
    return save_new(actor, slide, own_key=True)


change_slide = SLIDE.changes("change_slide")
void_slide = SLIDE.voids("void_slide")
