"""Pages of packets and the report as PDF."""

from django.urls import path

from cases.packets import views

app_name = "packets"
_CASE = "cases/<uuid:case_id>"
urlpatterns = [
    path(f"{_CASE}/packets/", views.packets, name="packets"),
    path(f"{_CASE}/report.pdf", views.report_pdf, name="report-pdf"),
]
