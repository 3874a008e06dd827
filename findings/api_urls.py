"""Examination API."""

from django.urls import path

from findings.api import parts, views
from findings.organs import api as organs
from findings.paths import api as wounds
from findings.postmortem import api as postmortem
from findings.words import api as terms

app_name = "findings_api"

CASE = "cases/<uuid:case_id>/"
urlpatterns = [
    path("findings/terms/", terms.OfficeTermsView.as_view(), name="terms"),
    path(
        "findings/terms/<uuid:term_id>/void/", terms.OfficeTermVoidView.as_view(), name="term-void"
    ),
    path(f"{CASE}examination/", views.ExaminationView.as_view(), name="examination"),
    path(f"{CASE}examination/negatives/", views.NegativesView.as_view(), name="negatives"),
    path(f"{CASE}examination/questions/", views.QuestionsView.as_view(), name="questions"),
    path(f"{CASE}findings/", views.FindingsView.as_view(), name="findings"),
    path(f"{CASE}findings/<uuid:finding_id>/", views.FindingView.as_view(), name="finding"),
    path(
        f"{CASE}findings/<uuid:finding_id>/void/",
        views.FindingVoidView.as_view(),
        name="finding-void",
    ),
    path(f"{CASE}findings/<uuid:finding_id>/marks/", parts.MarksView.as_view(), name="marks"),
    path(f"{CASE}marks/<uuid:mark_id>/", parts.MarkView.as_view(), name="mark"),
    path(f"{CASE}marks/<uuid:mark_id>/void/", parts.MarkVoidView.as_view(), name="mark-void"),
    path(f"{CASE}findings/<uuid:finding_id>/layers/", parts.LayersView.as_view(), name="layers"),
    path(f"{CASE}layers/<uuid:layer_id>/", parts.LayerView.as_view(), name="layer"),
    path(f"{CASE}layers/<uuid:layer_id>/void/", parts.LayerVoidView.as_view(), name="layer-void"),
    path(
        f"{CASE}findings/<uuid:finding_id>/interpretations/",
        parts.InterpretationsView.as_view(),
        name="interpretations",
    ),
    path(
        f"{CASE}interpretations/<uuid:interpretation_id>/",
        parts.InterpretationView.as_view(),
        name="interpretation",
    ),
    path(
        f"{CASE}interpretations/<uuid:interpretation_id>/void/",
        parts.InterpretationVoidView.as_view(),
        name="interpretation-void",
    ),
    path(f"{CASE}findings/<uuid:finding_id>/paths/", wounds.PathsView.as_view(), name="paths"),
    path(f"{CASE}paths/<uuid:path_id>/", wounds.PathView.as_view(), name="path"),
    path(f"{CASE}paths/<uuid:path_id>/void/", wounds.PathVoidView.as_view(), name="path-void"),
    path(f"{CASE}lividity/", postmortem.LividityRowsView.as_view(), name="lividity"),
    path(f"{CASE}lividity/<uuid:row_id>/", postmortem.LividityRowView.as_view(), name="livid-row"),
    path(
        f"{CASE}lividity/<uuid:row_id>/void/",
        postmortem.LividityVoidView.as_view(),
        name="livid-row-void",
    ),
    path(f"{CASE}rigor/", postmortem.RigorRowsView.as_view(), name="rigor"),
    path(f"{CASE}rigor/<uuid:row_id>/", postmortem.RigorRowView.as_view(), name="rigor-row"),
    path(
        f"{CASE}rigor/<uuid:row_id>/void/",
        postmortem.RigorVoidView.as_view(),
        name="rigor-row-void",
    ),
    path(f"{CASE}organ-weights/", organs.OrganWeightsView.as_view(), name="organ-weights"),
    path(
        f"{CASE}organ-weights/<uuid:organ_weight_id>/",
        organs.OrganWeightView.as_view(),
        name="organ-weight",
    ),
    path(
        f"{CASE}organ-weights/<uuid:organ_weight_id>/void/",
        organs.OrganWeightVoidView.as_view(),
        name="organ-weight-void",
    ),
]
