"""Standing explanations API."""

from cases.explanations.api import routes

app_name = "explanations_api"
urlpatterns = routes
