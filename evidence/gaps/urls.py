"""Pages of what the photograph log lacks."""

from django.urls import path

from evidence.gaps import views

app_name = "gaps"
ALL = "cases/<uuid:case_id>/photographs/set-aside"
urlpatterns = [
    path(f"{ALL}/", views.all_set_aside, name="all"),
    path(f"{ALL}/missing/", views.missing, name="missing"),
    path(f"{ALL}/new/", views.set_aside, name="set-aside"),
    path(f"{ALL}/<uuid:record_id>/", views.point_out_again, name="again"),
]
