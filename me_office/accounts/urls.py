"""Pages of this part of the office."""

from django.urls import URLPattern

app_name = "accounts"
urlpatterns: list[URLPattern] = []
