"""API of cause and manner."""

from cases.certification import api

app_name = "certification_api"
urlpatterns = api.routes
