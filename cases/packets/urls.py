"""Pages of this part of the office."""

from django.urls import URLPattern

app_name = "packets"
urlpatterns: list[URLPattern] = []
