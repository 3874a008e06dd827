"""Pages of the body's release."""

from django.urls import path

from cases.remains import views

app_name = "remains"
_CASE = "cases/<uuid:case_id>/body"
_RELEASE = f"{_CASE}/release/<uuid:record_id>"
_RETURN = f"{_CASE}/return/<uuid:record_id>"
_HOLD = f"{_CASE}/hold/<uuid:record_id>"
_CREMATION = f"{_CASE}/cremation/<uuid:record_id>"
_DISPOSITION = f"{_CASE}/disposition/<uuid:record_id>"
urlpatterns = [
    path(f"{_CASE}/release/", views.remains, name="remains"),
    path(f"{_CASE}/release/new/", views.add_release, name="add-release"),
    path(f"{_RELEASE}/", views.edit_release, name="edit-release"),
    path(f"{_RELEASE}/void/", views.void_release, name="void-release"),
    path(f"{_RELEASE}/form.pdf", views.release_form, name="release-form"),
    path(f"{_CASE}/return/new/", views.add_return, name="add-return"),
    path(f"{_RETURN}/", views.edit_return, name="edit-return"),
    path(f"{_RETURN}/void/", views.void_return, name="void-return"),
    path(f"{_CASE}/hold/new/", views.add_hold, name="add-hold"),
    path(f"{_HOLD}/", views.edit_hold, name="edit-hold"),
    path(f"{_HOLD}/lift/", views.lift_hold, name="lift-hold"),
    path(f"{_HOLD}/void/", views.void_hold, name="void-hold"),
    path(f"{_CASE}/cremation/new/", views.add_cremation, name="add-cremation"),
    path(f"{_CREMATION}/", views.edit_cremation, name="edit-cremation"),
    path(f"{_CREMATION}/decide/", views.decide_cremation, name="decide-cremation"),
    path(f"{_CREMATION}/void/", views.void_cremation, name="void-cremation"),
    path(f"{_CASE}/disposition/new/", views.add_disposition, name="add-disposition"),
    path(f"{_DISPOSITION}/", views.edit_disposition, name="edit-disposition"),
    path(f"{_DISPOSITION}/void/", views.void_disposition, name="void-disposition"),
]
