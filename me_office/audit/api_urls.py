"""API of this part of the office."""

from django.urls import URLPattern

app_name = "audit_api"
urlpatterns: list[URLPattern] = []
