"""API of a request's due day."""

from cases.clock import api

app_name = "clock_api"
urlpatterns = api.routes
