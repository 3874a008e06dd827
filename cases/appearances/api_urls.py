"""API of dates in court."""

from cases.appearances import api

app_name = "appearances_api"
urlpatterns = api.routes
