"""API of what an exhibit answers."""

from cases.witness import api

app_name = "witness_api"
urlpatterns = api.routes
