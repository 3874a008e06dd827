"""API of what waits and of what is measured."""

from cases.measures import api

app_name = "measures_api"
urlpatterns = [*api.routes]
