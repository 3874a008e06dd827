"""Account API."""

from django.urls import path

from me_office.accounts import api

app_name = "accounts_api"
urlpatterns = [
    path("own/shortcuts/", api.OwnShortcuts.as_view(), name="own-shortcuts"),
    path("people/", api.Accounts.as_view(), name="people"),
    path("people/<uuid:staff_id>/", api.Account.as_view(), name="person"),
    path("people/<uuid:staff_id>/standing/", api.AccountStatus.as_view(), name="standing"),
]
