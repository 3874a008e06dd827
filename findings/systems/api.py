"""Endpoints of the internal examination by system, of slides and of templates."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.shared import CASE, seen
from findings.api.rows import changed_and_voided
from findings.api.serializers import ExaminationSerializer, VoidSerializer
from findings.systems import actions, queries, slide_actions, template_actions
from findings.systems import serializers as s
from me_office.accounts.requests import StaffApiRequest
from me_office.shell.api import REFUSALS
from me_office.shell.endpoints import adds, at, changes, lists, saves


@extend_schema(
    operation_id="system_template_list",
    responses={200: s.SystemTemplateSerializer(many=True), **REFUSALS},
)
def system_templates(self: APIView, request: StaffApiRequest) -> Response:
    """Read the office's templates in use."""
    return Response(s.SystemTemplateSerializer(queries.office_templates(), many=True).data)


routes = [
    at(f"{CASE}/systems/", "systems",
       get=lists("system_part_list", seen("internal examination by system"), queries.parts_of,
           s.SystemPartSerializer, "Read what is recorded of the parts of the body systems.")),
    at(f"{CASE}/systems/parts/<slug:part>/", "system-part",
       put=saves("system_part_decide", actions.decide_part, s.SystemPartDecisionSerializer,
           s.SystemPartSerializer, "Decide one part, or keep what is being worked on.")),
    at(f"{CASE}/systems/<slug:system>/template/", "system-use-template",
       post=changes("system_use_template", actions.use_template, s.UseTemplateSerializer,
           ExaminationSerializer, "Lay the sentences of a template, to keep or strike each.")),
    at(f"{CASE}/systems/<slug:system>/left-out/", "system-leave-out",
       post=changes("system_leave_out", actions.leave_system_out, s.LeaveOutSerializer,
           ExaminationSerializer, "State that the parts not decided were not examined.")),
    at(f"{CASE}/slides/", "slides",
       get=lists("slide_list", seen("slides"), queries.slides_of, s.SlideSerializer,
           "Read the standing slides."),
       post=adds("slide_record", slide_actions.record_slide, s.NewSlideSerializer,
           s.SlideSerializer, "Record a slide that was read.")),
    *changed_and_voided(f"{CASE}/slides/<uuid:slide_id>/", "slide", "slide", "a slide",
        slide_actions.change_slide, slide_actions.void_slide, s.SlideChangeSerializer,
        s.SlideSerializer),
    at("findings/system-templates/", "system-templates", get=system_templates,
       post=adds("system_template_add", template_actions.add_system_template,
           s.NewSystemTemplateSerializer, s.SystemTemplateSerializer, "Add a template.")),
    at("findings/system-templates/<uuid:template_id>/", "system-template",
       patch=changes("system_template_change", template_actions.change_system_template,
           s.SystemTemplateChangeSerializer, s.SystemTemplateSerializer,
           "Put a new edition in place of a template.")),
    at("findings/system-templates/<uuid:template_id>/void/", "system-template-void",
       post=changes("system_template_void", template_actions.void_system_template, VoidSerializer,
           s.SystemTemplateSerializer, "Withdraw a template, with the reason.")),
]  # fmt: skip
