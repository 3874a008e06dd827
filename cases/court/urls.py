"""Pages of requests and subpoenas."""

from django.urls import path

from cases.court import demand_views, views

app_name = "court"
_CASE = "cases/<uuid:case_id>/court"
_ONE = f"{_CASE}/<uuid:request_id>"
_DEMAND = f"{_ONE}/demands/<uuid:record_id>"
urlpatterns = [
    path("requests/", views.office_requests, name="office-requests"),
    path("requests/export.csv", views.export_requests, name="export-requests"),
    path(f"{_CASE}/", views.requests, name="requests"),
    path(f"{_CASE}/new/", views.log_request, name="log-request"),
    path(f"{_ONE}/", views.request_page, name="request"),
    path(f"{_ONE}/demands/new/", demand_views.add, name="add-demand"),
    path(f"{_DEMAND}/edit/", demand_views.change, name="change-demand"),
    path(f"{_DEMAND}/withdraw/", demand_views.withdraw, name="withdraw-demand"),
    path(f"{_ONE}/edit/", views.change_request, name="change-request"),
    path(f"{_ONE}/withdraw/", views.withdraw_request, name="withdraw-request"),
]
