"""Pages of the history."""

from django.urls import path

from cases.history import views

app_name = "history"
urlpatterns = [
    path("cases/lists-given-out/", views.list_readers, name="list-readers"),
    path("cases/<uuid:case_id>/history/", views.case_history, name="case-history"),
    path("cases/<uuid:case_id>/history/readers/", views.case_readers, name="case-readers"),
    path(
        "cases/<uuid:case_id>/history/<slug:table>/<str:record_id>/",
        views.record_history,
        name="record-history",
    ),
]
