"""Pages of requests and subpoenas."""

from django.urls import path

from cases.court import views

app_name = "court"
_CASE = "cases/<uuid:case_id>/court"
urlpatterns = [
    path("requests/", views.office_requests, name="office-requests"),
    path(f"{_CASE}/", views.requests, name="requests"),
]
