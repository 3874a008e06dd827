"""Pages of curricula vitae."""

from django.urls import path

from cases.qualifications import views

app_name = "qualifications"
_ONE = "curricula/<uuid:person_id>"
urlpatterns = [
    path("curricula/", views.curricula, name="curricula"),
    path(f"{_ONE}/", views.person, name="person"),
    path(f"{_ONE}/new/", views.add, name="add"),
    path(f"{_ONE}/<uuid:record_id>/edit/", views.edit, name="edit"),
    path(f"{_ONE}/<uuid:record_id>/withdraw/", views.withdraw, name="withdraw"),
    path(f"{_ONE}/versions/<int:number>.pdf", views.version_pdf, name="version-pdf"),
]
