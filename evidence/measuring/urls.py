"""Pages of measuring."""

from django.urls import path

from evidence.measuring import copy_views, views

app_name = "measuring"
CASE = "cases/<uuid:case_id>"
ONE = f"{CASE}/photographs/<uuid:photograph_id>"
urlpatterns = [
    path(f"{ONE}/measure/", views.measure, name="measure"),
    path(f"{ONE}/measure/picture/", views.picture, name="picture"),
    path(f"{ONE}/measure/copies/", copy_views.copies, name="make-copy"),
    path(f"{CASE}/measurements/<uuid:measurement_id>/use/", views.use, name="use"),
    path(f"{CASE}/measurements/<uuid:measurement_id>/withdraw/", views.withdraw, name="withdraw"),
    path(f"{CASE}/findings/<uuid:finding_id>/measurements/", views.of_finding, name="of-finding"),
    path(f"{CASE}/copies/<uuid:request_id>/again/", copy_views.retry_copy, name="copy-retry"),
    path(f"{CASE}/copies/<uuid:copy_id>/file/", copy_views.copy_file, name="copy-file"),
    path(f"{CASE}/copies/<uuid:copy_id>/withdraw/", copy_views.withdraw_copy, name="copy-withdraw"),
]
