"""API of answers to requests."""

from cases.answers import api

app_name = "answers_api"
urlpatterns = api.routes
