"""Examination API."""

from findings.api import parts, views
from findings.organs import api as organs
from findings.paths import api as paths
from findings.postmortem import api as postmortem
from findings.systems import api as systems
from findings.words import api as words

app_name = "findings_api"
urlpatterns = [
    *words.routes,
    *views.routes,
    *parts.routes,
    *paths.routes,
    *postmortem.routes,
    *organs.routes,
    *systems.routes,
]
