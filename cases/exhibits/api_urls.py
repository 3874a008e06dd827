"""API of exhibits."""

from cases.exhibits import api, redaction_api

app_name = "exhibits_api"
urlpatterns = [*api.routes, *redaction_api.routes]
