"""API of custody."""

from evidence.custody import api, receipt_api

app_name = "custody_api"
urlpatterns = [*api.routes, *receipt_api.routes]
