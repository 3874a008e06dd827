"""API of curricula vitae."""

from cases.qualifications import api

app_name = "qualifications_api"
urlpatterns = api.routes
