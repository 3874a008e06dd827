"""API of exhibits."""

from cases.exhibits import api, mark_api, pdf_api, redaction_api, ruling_api

app_name = "exhibits_api"
urlpatterns = [
    *api.routes,
    *pdf_api.routes,
    *redaction_api.routes,
    *ruling_api.routes,
    *mark_api.routes,
]
