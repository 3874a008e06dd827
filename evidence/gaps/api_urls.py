"""API of what the photograph log lacks."""

from django.urls import path

from evidence.gaps import api

app_name = "gaps_api"
CASE = "cases/<uuid:case_id>"
urlpatterns = [
    path(f"{CASE}/missing-pictures/", api.MissingView.as_view(), name="missing"),
    path(f"{CASE}/set-aside/", api.AllSetAsideView.as_view(), name="all"),
    path(f"{CASE}/set-aside/<uuid:record_id>/void/", api.PointOutAgainView.as_view(), name="again"),
]
