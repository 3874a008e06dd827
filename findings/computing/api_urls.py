"""Calculation API."""

from findings.computing import api

app_name = "computing_api"
urlpatterns = api.routes
