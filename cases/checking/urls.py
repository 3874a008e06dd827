"""Pages of the checks."""

from django.urls import path

from cases.checking import office_views, views

app_name = "checking"
CASE = "cases/<uuid:case_id>/checks"
urlpatterns = [
    path(f"{CASE}/", views.checks, name="checks"),
    path(f"{CASE}/margin/", views.margin, name="margin"),
    path(f"{CASE}/needed/", views.needed, name="needed"),
    path(f"{CASE}/answered/", views.answered, name="answered"),
    path(f"{CASE}/set-aside/", views.set_aside, name="set-aside"),
    path(f"{CASE}/set-aside/<uuid:record_id>/", views.point_out_again, name="again"),
    path(f"{CASE}/answers/<uuid:record_id>/", views.withdraw_answer, name="withdraw-answer"),
    path(f"{CASE}/<slug:key>/", views.answer, name="answer"),
    path("checks/", office_views.office_checks, name="office"),
    path("checks/new/", office_views.add_check, name="add"),
    path("checks/<slug:key>/", office_views.change_check, name="change"),
    path("checks/<slug:key>/withdraw/", office_views.withdraw_check, name="withdraw"),
]
