"""API of results."""

from evidence.results import api

app_name = "results_api"
urlpatterns = api.routes
