"""Examination pages."""

from django.urls import path

from findings.chart import print_views as chart_print
from findings.chart import views as chart
from findings.organs import views as organs
from findings.paths import views as paths
from findings.postmortem import views as postmortem
from findings.views import examination, parts
from findings.words import views as terms

app_name = "findings"

CASE = "cases/<uuid:case_id>/"
FINDING = f"{CASE}findings/<uuid:finding_id>/"
urlpatterns = [
    path("findings/terms/", terms.terms, name="terms"),
    path("findings/terms/<uuid:term_id>/void/", terms.void_term, name="term-void"),
    path(f"{CASE}examination/", examination.examination, name="examination"),
    path(f"{CASE}examination/negatives/", examination.confirm_negative, name="negative"),
    path(f"{CASE}chart/", chart.chart, name="chart"),
    path(f"{CASE}chart/present/", chart.present, name="present"),
    path(f"{CASE}chart/print/", chart_print.print_views, name="chart-print"),
    path(f"{CASE}chart.pdf", chart_print.pdf, name="chart-pdf"),
    path(f"{CASE}findings/new/", chart.new_finding, name="finding-new"),
    path(FINDING, chart.change_finding, name="finding-change"),
    path(f"{FINDING}void/", chart.void_finding, name="finding-void"),
    path(f"{FINDING}marks/", parts.new_mark, name="mark-new"),
    path(f"{CASE}marks/<uuid:mark_id>/", parts.move_mark, name="mark-move"),
    path(f"{CASE}marks/<uuid:mark_id>/void/", parts.void_mark, name="mark-void"),
    path(f"{FINDING}layers/", parts.new_layer, name="layer-new"),
    path(f"{CASE}layers/<uuid:layer_id>/", parts.change_layer, name="layer-change"),
    path(f"{CASE}layers/<uuid:layer_id>/void/", parts.void_layer, name="layer-void"),
    path(f"{FINDING}interpretations/", parts.new_interpretation, name="interpretation-new"),
    path(
        f"{CASE}interpretations/<uuid:interpretation_id>/",
        parts.change_interpretation,
        name="interpretation-change",
    ),
    path(
        f"{CASE}interpretations/<uuid:interpretation_id>/void/",
        parts.void_interpretation,
        name="interpretation-void",
    ),
    path(f"{FINDING}paths/", paths.new_path, name="path-new"),
    path(f"{CASE}paths/<uuid:path_id>/", paths.change_path, name="path-change"),
    path(f"{CASE}paths/<uuid:path_id>/void/", paths.void_path, name="path-void"),
    path(f"{CASE}postmortem/", postmortem.postmortem, name="postmortem"),
    path(f"{CASE}lividity/<uuid:row_id>/", postmortem.change_lividity, name="lividity-change"),
    path(f"{CASE}lividity/<uuid:row_id>/void/", postmortem.void_lividity, name="lividity-void"),
    path(f"{CASE}rigor/<uuid:row_id>/", postmortem.change_rigor, name="rigor-change"),
    path(f"{CASE}rigor/<uuid:row_id>/void/", postmortem.void_rigor, name="rigor-void"),
    path(f"{CASE}organs/", organs.organs, name="organs"),
    path(f"{CASE}organs/<uuid:organ_weight_id>/", organs.change_organ, name="organ-change"),
    path(f"{CASE}organs/<uuid:organ_weight_id>/void/", organs.void_organ, name="organ-void"),
]
