"""API of the history."""

from django.urls import path

from cases.history import api

app_name = "history_api"
urlpatterns = [
    path("cases/<uuid:case_id>/history/", api.CaseHistory.as_view(), name="case-history"),
]
