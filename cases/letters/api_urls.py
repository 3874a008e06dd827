"""API of letters."""

from cases.letters import api

app_name = "letters_api"
urlpatterns = api.routes
