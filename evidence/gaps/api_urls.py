"""API of what the photograph log lacks."""

from evidence.gaps import api

app_name = "gaps_api"
urlpatterns = api.routes
