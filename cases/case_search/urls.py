"""Pages of the search within a case."""

from django.urls import path

from cases.case_search import views

app_name = "case_search"
urlpatterns = [path("cases/<uuid:case_id>/search/", views.search, name="search")]
