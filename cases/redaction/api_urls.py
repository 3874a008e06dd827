"""API of redacting documents."""

from cases.redaction import api

app_name = "redaction_api"
urlpatterns = api.routes
