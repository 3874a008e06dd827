"""API of exhibits."""

from cases.exhibits import api, mark_api, redaction_api

app_name = "exhibits_api"
urlpatterns = [*api.routes, *redaction_api.routes, *mark_api.routes]
