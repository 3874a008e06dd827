"""Pages of the history."""

from django.urls import path

from cases.history import views

app_name = "history"
_HISTORY = "cases/<uuid:case_id>/history"
urlpatterns = [
    path("cases/lists-given-out/", views.list_readers, name="list-readers"),
    path(f"{_HISTORY}/", views.case_history, name="case-history"),
    path(f"{_HISTORY}/readers/", views.case_readers, name="case-readers"),
    path(f"{_HISTORY}/<slug:table>/<str:record_id>/", views.record_history, name="record-history"),
]
