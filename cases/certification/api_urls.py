"""API of this part of the office."""

from django.urls import URLPattern

app_name = "certification_api"
urlpatterns: list[URLPattern] = []
