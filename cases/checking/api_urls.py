"""API of the checks."""

from cases.checking.api import routes

app_name = "checking_api"
urlpatterns = routes
