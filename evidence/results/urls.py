"""Pages of results."""

from django.urls import path

from evidence.results import views

app_name = "results"
ALL = "cases/<uuid:case_id>/results"
urlpatterns = [
    path(f"{ALL}/", views.results, name="all"),
    path(f"{ALL}/record/", views.record, name="record"),
    path(f"{ALL}/<uuid:result_id>/", views.result, name="one"),
    path(f"{ALL}/<uuid:result_id>/withdraw/", views.withdraw, name="withdraw"),
]
