"""Pages of the standing explanations."""

from django.urls import path

from cases.explanations import views

app_name = "explanations"
urlpatterns = [
    path("explanations/", views.all_explanations, name="all"),
    path("explanations/<slug:key>/", views.explanation, name="one"),
    path("explanations/<slug:key>/withdraw/", views.withdraw, name="withdraw"),
]
