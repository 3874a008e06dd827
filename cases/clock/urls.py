"""Pages of a request's due day."""

from django.urls import path

from cases.clock import views

app_name = "clock"
_ONE = "cases/<uuid:case_id>/court/<uuid:request_id>/clock"
urlpatterns = [
    path(f"{_ONE}/count/", views.count_due, name="count"),
    path(f"{_ONE}/fix/", views.fix_due, name="fix"),
    path(f"{_ONE}/new/", views.note_change, name="note-change"),
    path(f"{_ONE}/<uuid:record_id>/withdraw/", views.withdraw_change, name="withdraw-change"),
    path(f"{_ONE}/<uuid:record_id>/paper/", views.document, name="document"),
]
