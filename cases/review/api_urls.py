"""API of report and review."""

from cases.review import amend_api, api, closing_api, outside_api, peer_api

app_name = "review_api"
urlpatterns = [
    *api.routes,
    *amend_api.routes,
    *closing_api.routes,
    *peer_api.routes,
    *outside_api.routes,
]
