"""Pages of dates in court."""

from django.urls import path

from cases.appearances import views

app_name = "appearances"
_ALL = "cases/<uuid:case_id>/appearances"
_ONE = f"{_ALL}/<uuid:record_id>"
urlpatterns = [
    path("appearances/", views.office_appearances, name="office"),
    path("appearances/export.csv", views.export, name="export"),
    path(f"{_ALL}/", views.appearances, name="appearances"),
    path(f"{_ALL}/new/", views.add, name="add"),
    path(f"{_ONE}/edit/", views.edit, name="edit"),
    path(f"{_ONE}/move/", views.move, name="move"),
    path(f"{_ONE}/cancel/", views.cancel, name="cancel"),
    path(f"{_ONE}/testimony/", views.testimony, name="testimony"),
    path(f"{_ONE}/asked/", views.settle, name="settle"),
    path(f"{_ONE}/withdraw/", views.withdraw, name="withdraw"),
]
