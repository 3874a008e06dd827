"""Examination pages."""

from django.urls import path

from findings.chart import print_views as chart_print
from findings.chart import reading_views as chart_reading
from findings.chart import views as chart
from findings.organs import views as organs
from findings.postmortem import views as postmortem
from findings.systems import slide_views as slides
from findings.systems import template_views as system_templates
from findings.systems import views as systems
from findings.views import examination, parts
from findings.words import views as terms

app_name = "findings"

CASE = "cases/<uuid:case_id>/"
FINDING = f"{CASE}findings/<uuid:finding_id>/"
urlpatterns = [
    path("findings/terms/", terms.terms, name="terms"),
    path("findings/terms/<uuid:term_id>/void/", terms.void_term, name="term-void"),
    path("findings/wording/", terms.wordings, name="wordings"),
    path(
        "findings/wording/<uuid:wording_id>/standard/",
        terms.restore_wording,
        name="restore-wording",
    ),
    path("findings/wording/<str:key>/", terms.reword, name="reword"),
    *system_templates.routes(),
    path(f"{CASE}examination/", examination.examination, name="examination"),
    path(f"{CASE}examination/negatives/", examination.confirm_negative, name="negative"),
    path(f"{CASE}chart/", chart.chart, name="chart"),
    path(f"{CASE}chart/present/", chart.present, name="present"),
    path(f"{CASE}chart/place/", chart.place_by_words, name="chart-place"),
    path(f"{CASE}chart/list/", chart_reading.reading, name="chart-list"),
    path(f"{CASE}chart/print/", chart_print.print_views, name="chart-print"),
    path(f"{CASE}chart.pdf", chart_print.pdf, name="chart-pdf"),
    path(f"{CASE}findings/new/", chart.new_finding, name="finding-new"),
    path(FINDING, chart.change_finding, name="finding-change"),
    path(f"{FINDING}void/", chart.void_finding, name="finding-void"),
    *parts.routes(CASE),
    path(f"{CASE}postmortem/", postmortem.postmortem, name="postmortem"),
    *postmortem.routes(CASE),
    *systems.routes(CASE),
    *slides.routes(CASE),
    path(f"{CASE}organs/", organs.organs, name="organs"),
    path(f"{CASE}organs/<uuid:organ_weight_id>/", organs.change_organ, name="organ-change"),
    path(f"{CASE}organs/<uuid:organ_weight_id>/void/", organs.void_organ, name="organ-void"),
]
