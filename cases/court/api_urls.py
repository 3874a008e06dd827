"""API of requests and subpoenas."""

from django.urls import path

from cases.court import api

app_name = "court_api"
_CASE = "cases/<uuid:case_id>/requests"
urlpatterns = [
    path(f"{_CASE}/", api.RequestsOfCase.as_view(), name="requests"),
    path(f"{_CASE}/<uuid:request_id>/", api.OneRequest.as_view(), name="request"),
    path(
        f"{_CASE}/<uuid:request_id>/withdraw/",
        api.WithdrawRequest.as_view(),
        name="withdraw-request",
    ),
]
