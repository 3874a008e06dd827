"""Pages of packets and the report as PDF."""

from django.urls import path

from cases.packets import views

app_name = "packets"
_CASE = "cases/<uuid:case_id>"
_PACKET = f"{_CASE}/packets/<uuid:packet_id>"
urlpatterns = [
    path(f"{_CASE}/packets/", views.packets, name="packets"),
    path(f"{_PACKET}/", views.packet, name="packet"),
    path(f"{_PACKET}/retry/", views.retry_packet, name="retry-packet"),
    path(f"{_PACKET}/release/", views.release_packet, name="release-packet"),
    path(f"{_PACKET}/packet.zip", views.download_packet, name="download-packet"),
    path(f"{_CASE}/report.pdf", views.report_pdf, name="report-pdf"),
    path(f"{_CASE}/signed-report.pdf", views.signed_report_pdf, name="signed-report-pdf"),
]
