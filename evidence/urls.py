"""Pages of this part of the office."""

from django.urls import path

from evidence.views import files, items, photographs

app_name = "evidence"
CASE = "cases/<uuid:case_id>"
ONE = f"{CASE}/photographs/<uuid:photograph_id>"
urlpatterns = [
    path(f"{CASE}/photographs/", photographs.photographs, name="photographs"),
    path(f"{CASE}/photographs/add/", photographs.add_photographs, name="photographs-add"),
    path(f"{ONE}/", photographs.photograph, name="photograph"),
    path(f"{ONE}/preview/", photographs.preview, name="photograph-preview"),
    path(f"{ONE}/thumb/", files.photograph_file, {"kind": "thumb"}, name="photograph-thumb"),
    path(f"{ONE}/screen/", files.photograph_file, {"kind": "screen"}, name="photograph-screen"),
    path(
        f"{ONE}/original/", files.photograph_file, {"kind": "original"}, name="photograph-original"
    ),
    path(f"{ONE}/findings/", photographs.link, name="photograph-link"),
    path(f"{ONE}/findings/<uuid:link_id>/", photographs.unlink, name="photograph-unlink"),
    path(f"{ONE}/withdraw/", photographs.withdraw_photograph, name="photograph-withdraw"),
    path(
        f"{CASE}/findings/<uuid:finding_id>/photographs/",
        photographs.finding_thread,
        name="finding-thread",
    ),
    path(f"{CASE}/specimens/", items.specimens, name="specimens"),
    path(f"{CASE}/specimens/take/", items.take_specimen, name="specimen-take"),
    path(f"{CASE}/specimens/<uuid:specimen_id>/", items.specimen, name="specimen"),
    path(
        f"{CASE}/specimens/<uuid:specimen_id>/withdraw/",
        items.withdraw_specimen,
        name="specimen-withdraw",
    ),
    path(f"{CASE}/property/", items.properties, name="property"),
    path(f"{CASE}/property/record/", items.record_property, name="property-record"),
    path(f"{CASE}/property/<uuid:property_id>/", items.property_item, name="property-item"),
    path(
        f"{CASE}/property/<uuid:property_id>/withdraw/",
        items.withdraw_property,
        name="property-withdraw",
    ),
]
