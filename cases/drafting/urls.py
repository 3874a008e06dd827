"""Pages of short keys and of the office's words."""

from django.urls import path

from cases.drafting import views

app_name = "drafting"
urlpatterns = [
    path("drafting/", views.short_keys, name="short-keys"),
    path("drafting/keys/", views.keys, name="keys"),
    path("drafting/words/", views.words, name="words"),
    path("drafting/words/<uuid:record_id>/void/", views.void_word, name="void-word"),
    path("drafting/<uuid:record_id>/", views.short_key, name="short-key"),
    path("drafting/<uuid:record_id>/void/", views.void_short_key, name="void-short-key"),
]
