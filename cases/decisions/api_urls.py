"""API of decisions on what may go out."""

from cases.decisions import api

app_name = "decisions_api"
urlpatterns = api.routes
