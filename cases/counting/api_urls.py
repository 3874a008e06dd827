"""API of counting."""

from cases.counting import api

app_name = "counting_api"
urlpatterns = api.routes
