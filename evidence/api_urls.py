"""API of photographs, specimens and property."""

from evidence.intake import api as intake
from evidence.photographs.api import photographs, series
from evidence.property import api as things
from evidence.specimens import api as specimens
from evidence.specimens import kit_api as kits

app_name = "evidence_api"
urlpatterns = [
    *intake.routes,
    *photographs.routes,
    *series.routes,
    *specimens.routes,
    *kits.routes,
    *things.routes,
]
