"""API of results."""

from django.urls import path

from evidence.results import api

app_name = "results_api"
ALL = "cases/<uuid:case_id>/results"
urlpatterns = [
    path(f"{ALL}/", api.ResultsView.as_view(), name="all"),
    path(f"{ALL}/not-available/", api.NotAvailableView.as_view(), name="not-available"),
    path(f"{ALL}/<uuid:result_id>/void/", api.ResultVoidView.as_view(), name="void"),
]
