"""Pages of this part of the office."""

from django.urls import URLPattern

app_name = "court"
urlpatterns: list[URLPattern] = []
