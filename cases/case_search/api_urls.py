"""API of the search within a case."""

from django.urls import path

from cases.case_search import api

app_name = "case_search_api"
urlpatterns = [path("cases/<uuid:case_id>/search/", api.CaseSearch.as_view(), name="search")]
