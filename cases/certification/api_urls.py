"""API of cause and manner, and of what goes with the certificate."""

from cases.certification import api, filing_api

app_name = "certification_api"
urlpatterns = [*api.routes, *filing_api.routes]
