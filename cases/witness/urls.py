"""Pages of the witness."""

from django.urls import path

from cases.witness import views

app_name = "witness"
_ALL = "cases/<uuid:case_id>/exhibits"
urlpatterns = [
    path(f"{_ALL}/<uuid:set_id>/<uuid:exhibit_id>/witness/", views.witness, name="witness"),
    path(f"{_ALL}/of-photograph/<uuid:photograph_id>/", views.of_photograph, name="of-photograph"),
    path(f"{_ALL}/of-finding/<uuid:finding_id>/", views.of_finding, name="of-finding"),
]
