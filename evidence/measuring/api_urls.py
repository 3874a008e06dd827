"""API of measuring."""

from evidence.measuring import api

app_name = "measuring_api"
urlpatterns = api.routes
