"""API of cause and manner."""

from django.urls import path

from cases.certification import api

app_name = "certification_api"
urlpatterns = [
    path(
        "cases/<uuid:case_id>/cause-and-manner/",
        api.CauseAndManner.as_view(),
        name="cause-and-manner",
    ),
]
