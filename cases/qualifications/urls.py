"""Pages of curricula vitae."""

from django.urls import path

from cases.qualifications import testified_views, views

app_name = "qualifications"
_ONE = "curricula/<uuid:person_id>"
urlpatterns = [
    path("curricula/", views.curricula, name="curricula"),
    path(f"{_ONE}/", views.person, name="person"),
    path(f"{_ONE}/new/", views.add, name="add"),
    path(f"{_ONE}/<uuid:record_id>/edit/", views.edit, name="edit"),
    path(f"{_ONE}/<uuid:record_id>/withdraw/", views.withdraw, name="withdraw"),
    path(f"{_ONE}/testimony/new/", testified_views.add, name="add-testimony"),
    path(f"{_ONE}/testimony/of/<uuid:appearance_id>/", testified_views.add, name="list-testimony"),
    path(f"{_ONE}/testimony/<uuid:record_id>/edit/", testified_views.edit, name="edit-testimony"),
    path(
        f"{_ONE}/testimony/<uuid:record_id>/withdraw/",
        testified_views.withdraw,
        name="withdraw-testimony",
    ),
    path(f"{_ONE}/versions/<int:number>.pdf", views.version_pdf, name="version-pdf"),
]
