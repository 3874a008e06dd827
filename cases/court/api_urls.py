"""API of requests and subpoenas."""

from cases.court import api

app_name = "court_api"
urlpatterns = api.routes
