"""Evidence pages."""

from django.urls import path

from evidence.clocks import views as clocks
from evidence.fixity import views as fixity
from evidence.intake import views as intake_views
from evidence.photographs.views import files, links, series, viewer
from evidence.photographs.views import photographs as views_photographs
from evidence.property import views as property_views
from evidence.specimens import kit_views
from evidence.specimens import views as specimens_views

app_name = "evidence"
CASE = "cases/<uuid:case_id>"
ONE = f"{CASE}/photographs/<uuid:photograph_id>"
SERIES = f"{CASE}/photographs/series"
LINK = f"{ONE}/findings/<uuid:link_id>"
SPECIMEN = f"{CASE}/specimens/<uuid:specimen_id>"
PROPERTY = f"{CASE}/property/<uuid:property_id>"
urlpatterns = [
    path(f"{CASE}/photographs/", views_photographs.photographs, name="photographs"),
    path(f"{CASE}/photographs/add/", intake_views.add_photographs, name="photographs-add"),
    path("store/", fixity.file_store, name="store"),
    path("store/<uuid:problem_id>/", fixity.resolve, name="store-resolve"),
    path(f"{CASE}/photographs/clocks/", clocks.clocks, name="clocks"),
    path(f"{ONE}/clock/", clocks.set_clock, name="clock"),
    path(f"{ONE}/times/", clocks.photograph_times, name="photograph-times"),
    path(f"{CASE}/photographs/compare/", viewer.compare, name="photographs-compare"),
    path(f"{SERIES}/", series.series_list, name="series"),
    path(f"{SERIES}/<uuid:series_id>/withdraw/", series.withdraw_series, name="series-withdraw"),
    path(f"{SERIES}/photographs/<uuid:member_id>/", series.take_from_series, name="series-take"),
    path(f"{ONE}/", views_photographs.photograph, name="photograph"),
    path(f"{ONE}/preview/", views_photographs.preview, name="photograph-preview"),
    path(f"{ONE}/thumb/", files.photograph_file, {"kind": "thumb"}, name="photograph-thumb"),
    path(f"{ONE}/screen/", files.photograph_file, {"kind": "screen"}, name="photograph-screen"),
    path(
        f"{ONE}/original/", files.photograph_file, {"kind": "original"}, name="photograph-original"
    ),
    path(f"{ONE}/findings/", links.link, name="photograph-link"),
    path(f"{LINK}/", links.unlink, name="photograph-unlink"),
    path(f"{LINK}/outline/", links.outline, name="photograph-outline"),
    path(f"{ONE}/tiles/", viewer.photograph_tiles, name="photograph-tiles"),
    path(
        f"{ONE}/tiles/<int:level>/<int:column>-<int:row>/",
        viewer.photograph_tile,
        name="photograph-tile",
    ),
    path(f"{ONE}/withdraw/", views_photographs.withdraw_photograph, name="photograph-withdraw"),
    path(
        f"{CASE}/findings/<uuid:finding_id>/photographs/",
        views_photographs.finding_thread,
        name="finding-thread",
    ),
    path(f"{CASE}/specimens/", specimens_views.specimens, name="specimens"),
    path(f"{CASE}/specimens/take/", specimens_views.take_specimen, name="specimen-take"),
    path(f"{SPECIMEN}/", specimens_views.specimen, name="specimen"),
    path(f"{SPECIMEN}/withdraw/", specimens_views.withdraw_specimen, name="specimen-withdraw"),
    path(f"{CASE}/specimens/receive/", specimens_views.receive_specimen, name="specimen-receive"),
    path(f"{SPECIMEN}/kit/", kit_views.move_part, name="part-move"),
    path(f"{SPECIMEN}/out/", kit_views.take_part_out, name="part-out"),
    path(f"{CASE}/kits/record/", kit_views.record_kit, name="kit-record"),
    path(f"{CASE}/kits/<uuid:kit_id>/withdraw/", kit_views.withdraw_kit, name="kit-withdraw"),
    path(f"{CASE}/property/", property_views.properties, name="property"),
    path(f"{CASE}/property/record/", property_views.record_property, name="property-record"),
    path(f"{PROPERTY}/", property_views.property_item, name="property-item"),
    path(f"{PROPERTY}/withdraw/", property_views.withdraw_property, name="property-withdraw"),
]
