"""Addresses of the pages on which administrators keep accounts."""

from django.urls import path

from me_office.accounts.views import people

app_name = "people"
ONE = "people/<uuid:staff_id>"
urlpatterns = [
    path("people/", people.people, name="people"),
    path("people/new/", people.open_account, name="open"),
    path(f"{ONE}/", people.person, name="person"),
    path(f"{ONE}/edit/", people.change_account, name="change"),
    *(
        path(f"{ONE}/{name}/", people.final_act, {"name": name}, name=name)
        for name in people.FINAL_ACTS
    ),
]
