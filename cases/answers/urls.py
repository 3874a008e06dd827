"""Pages of answers to requests, and of the numbers of their pages."""

from django.urls import path

from cases.answers import views

app_name = "answers"
urlpatterns = [
    path("page-numbers/", views.find_page, name="find-page"),
    path("page-numbers/series/", views.page_series, name="page-series"),
]
