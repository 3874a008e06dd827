"""Pages of requests and subpoenas."""

from django.urls import path

from cases.court import views

app_name = "court"
_CASE = "cases/<uuid:case_id>/court"
urlpatterns = [
    path("requests/", views.office_requests, name="office-requests"),
    path("requests/export.csv", views.export_requests, name="export-requests"),
    path(f"{_CASE}/", views.requests, name="requests"),
    path(f"{_CASE}/new/", views.log_request, name="log-request"),
    path(f"{_CASE}/<uuid:request_id>/edit/", views.change_request, name="change-request"),
    path(f"{_CASE}/<uuid:request_id>/withdraw/", views.withdraw_request, name="withdraw-request"),
]
