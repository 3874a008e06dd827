"""API of signed documents."""

from cases.signatures import api

app_name = "signatures_api"
urlpatterns = api.routes
