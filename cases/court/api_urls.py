"""API of this part of the office."""

from django.urls import URLPattern

app_name = "court_api"
urlpatterns: list[URLPattern] = []
