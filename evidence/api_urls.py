"""API of photographs, specimens and property."""

from django.urls import path

from evidence.intake import api as uploads
from evidence.photographs.api import photographs
from evidence.photographs.api import series as log
from evidence.property import api as property_api
from evidence.specimens import api as specimens_api
from evidence.specimens import kit_api as kits

app_name = "evidence_api"
CASE = "cases/<uuid:case_id>"
ONE = f"{CASE}/photographs/<uuid:photograph_id>"
UPLOAD = f"{CASE}/photograph-uploads/<uuid:upload_id>"
urlpatterns = [
    path(f"{CASE}/photograph-uploads/", uploads.UploadsView.as_view(), name="uploads"),
    path(f"{UPLOAD}/", uploads.UploadView.as_view(), name="upload"),
    path(f"{UPLOAD}/take-in/", uploads.UploadTakeInView.as_view(), name="upload-take-in"),
    path(f"{CASE}/photographs/", uploads.PhotographsView.as_view(), name="photographs"),
    path(f"{ONE}/", photographs.PhotographView.as_view(), name="photograph"),
    path(f"{ONE}/void/", photographs.PhotographVoidView.as_view(), name="photograph-void"),
    path(f"{ONE}/findings/", photographs.PhotographLinksView.as_view(), name="photograph-links"),
    path(
        f"{CASE}/photograph-links/<uuid:link_id>/void/",
        photographs.PhotographLinkVoidView.as_view(),
        name="photograph-link-void",
    ),
    path(
        f"{CASE}/photograph-links/<uuid:link_id>/outline/",
        log.PhotographOutlineView.as_view(),
        name="photograph-outline",
    ),
    path(f"{CASE}/photograph-series/", log.SeriesListView.as_view(), name="series"),
    path(
        f"{CASE}/photograph-series/<uuid:series_id>/photographs/",
        log.SeriesPhotographsView.as_view(),
        name="series-photographs",
    ),
    path(
        f"{CASE}/photograph-series/<uuid:series_id>/void/",
        log.SeriesVoidView.as_view(),
        name="series-void",
    ),
    path(
        f"{CASE}/photograph-series-members/<uuid:member_id>/void/",
        log.SeriesMemberVoidView.as_view(),
        name="series-member-void",
    ),
    path(f"{CASE}/specimens/", specimens_api.SpecimensView.as_view(), name="specimens"),
    path(
        f"{CASE}/specimens/<uuid:specimen_id>/",
        specimens_api.SpecimenView.as_view(),
        name="specimen",
    ),
    path(
        f"{CASE}/specimens/<uuid:specimen_id>/void/",
        specimens_api.SpecimenVoidView.as_view(),
        name="specimen-void",
    ),
    path(
        f"{CASE}/specimens/received/",
        specimens_api.ReceivedSpecimensView.as_view(),
        name="specimens-received",
    ),
    path(
        f"{CASE}/specimens/<uuid:specimen_id>/kit/", kits.PartMoveView.as_view(), name="part-move"
    ),
    path(f"{CASE}/specimens/<uuid:specimen_id>/out/", kits.PartOutView.as_view(), name="part-out"),
    path(f"{CASE}/kits/", kits.KitsView.as_view(), name="kits"),
    path(f"{CASE}/kits/<uuid:kit_id>/void/", kits.KitVoidView.as_view(), name="kit-void"),
    path(f"{CASE}/property/", property_api.PropertiesView.as_view(), name="property"),
    path(
        f"{CASE}/property/<uuid:property_id>/",
        property_api.PropertyView.as_view(),
        name="property-item",
    ),
    path(
        f"{CASE}/property/<uuid:property_id>/void/",
        property_api.PropertyVoidView.as_view(),
        name="property-void",
    ),
]
