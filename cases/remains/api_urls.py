"""API of the body's release."""

from cases.remains import api

app_name = "remains_api"
urlpatterns = api.routes
