"""API of packets."""

from cases.packets import api

app_name = "packets_api"
urlpatterns = api.routes
