"""Account pages."""

from django.urls import path
from django.views.generic import RedirectView

from me_office.accounts.views import own as views

app_name = "accounts"
# Nobody signs up, and mail is no way into an account: an administrator makes accounts.
CLOSED = ("signup/", "email/", "confirm-email/", "password/set/", "password/reset/")
urlpatterns = [
    path("", views.account, name="account"),
    # The sign-in has one address; the library's own leads there.
    path("login/", RedirectView.as_view(url="/sign-in/", query_string=True)),
    *(path(address, views.no_such_page) for address in CLOSED),
    path("theme/", views.theme, name="theme"),
    path("shortcuts/", views.shortcuts, name="shortcuts"),
]
