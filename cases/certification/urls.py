"""Pages of cause and manner."""

from django.urls import path

from cases.certification import views

app_name = "certification"
urlpatterns = [
    path(
        "cases/<uuid:case_id>/cause-and-manner/",
        views.cause_and_manner,
        name="cause-and-manner",
    ),
]
