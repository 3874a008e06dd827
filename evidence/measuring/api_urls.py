"""API of measuring."""

from django.urls import path

from evidence.measuring import api

app_name = "measuring_api"
CASE = "cases/<uuid:case_id>"
ONE = f"{CASE}/photographs/<uuid:photograph_id>"
urlpatterns = [
    path(f"{ONE}/measurements/", api.MeasurementsView.as_view(), name="measurements"),
    path(f"{ONE}/measurements/trial/", api.MeasurementTrialView.as_view(), name="trial"),
    path(f"{ONE}/corner/", api.CornerView.as_view(), name="corner"),
    path(f"{ONE}/copies/", api.CopiesView.as_view(), name="copies"),
    path(
        f"{CASE}/measurements/<uuid:measurement_id>/void/",
        api.MeasurementVoidView.as_view(),
        name="measurement-void",
    ),
    path(
        f"{CASE}/measurements/<uuid:measurement_id>/use/",
        api.MeasurementUseView.as_view(),
        name="measurement-use",
    ),
    path(
        f"{CASE}/copy-requests/<uuid:request_id>/",
        api.CopyRequestView.as_view(),
        name="copy-request",
    ),
    path(
        f"{CASE}/copy-requests/<uuid:request_id>/retry/",
        api.CopyRetryView.as_view(),
        name="copy-retry",
    ),
    path(f"{CASE}/copies/<uuid:copy_id>/void/", api.CopyVoidView.as_view(), name="copy-void"),
]
