"""Pages of this part of the office."""

from django.urls import URLPattern

app_name = "review"
urlpatterns: list[URLPattern] = []
