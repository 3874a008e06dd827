"""Pages of counting."""

from django.urls import path

from cases.counting import views

app_name = "counting"
urlpatterns = [
    path("counting/", views.count, name="count"),
    path("counting/rules/", views.rules, name="rules"),
    path("counting/rules/new/", views.add_rule, name="add-rule"),
    path("counting/rules/<uuid:record_id>/", views.rule, name="rule"),
    path("counting/rules/<uuid:record_id>/retire/", views.retire_rule, name="retire-rule"),
    path("counting/closures/", views.closures, name="closures"),
    path("counting/closures/new/", views.add_closure, name="add-closure"),
    path("counting/closures/<uuid:record_id>/", views.closure, name="closure"),
    path(
        "counting/closures/<uuid:record_id>/withdraw/",
        views.withdraw_closure,
        name="withdraw-closure",
    ),
]
