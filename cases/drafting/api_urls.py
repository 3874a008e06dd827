"""API of short keys and of the office's words."""

from cases.drafting import api

app_name = "drafting_api"
urlpatterns = api.routes
