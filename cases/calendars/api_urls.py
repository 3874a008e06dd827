"""API of leave."""

from cases.calendars import api

app_name = "calendars_api"
urlpatterns = api.routes
