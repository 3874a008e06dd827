"""API of the board."""

from cases.docket import api

app_name = "docket_api"
urlpatterns = api.routes
