"""API of earlier statements."""

from cases.statements import api

app_name = "statements_api"
urlpatterns = api.routes
