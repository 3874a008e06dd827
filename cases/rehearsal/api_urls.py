"""API of rehearsal."""

from cases.rehearsal import api

app_name = "rehearsal_api"
urlpatterns = api.routes
