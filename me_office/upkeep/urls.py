"""Addresses of the office's upkeep."""

from django.urls import path

from me_office.upkeep import health, views
from me_office.upkeep.metrics.views import metrics

app_name = "upkeep"
urlpatterns = [
    path("health/live/", health.live, name="live"),
    path("health/ready/", health.ready, name="ready"),
    path("metrics", metrics, name="metrics"),
    path("office/", views.state, name="state"),
]
