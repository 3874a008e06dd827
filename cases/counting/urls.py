"""Pages of counting."""

from django.urls import path

from cases.counting import views

app_name = "counting"
RULE, CLOSURE = {"kind": "rule"}, {"kind": "closure"}
urlpatterns = [
    path("counting/", views.count, name="count"),
    path("counting/rules/", views.rules, name="rules"),
    path("counting/rules/new/", views.add, RULE, name="add-rule"),
    path("counting/rules/<uuid:record_id>/", views.change, RULE, name="rule"),
    path("counting/rules/<uuid:record_id>/retire/", views.withdraw, RULE, name="retire-rule"),
    path("counting/rules/<slug:key>/", views.shipped_rule, name="shipped-rule"),
    path("counting/closures/", views.closures, name="closures"),
    path("counting/closures/new/", views.add, CLOSURE, name="add-closure"),
    path("counting/closures/<uuid:record_id>/", views.change, CLOSURE, name="closure"),
    path(
        "counting/closures/<uuid:record_id>/withdraw/",
        views.withdraw,
        CLOSURE,
        name="withdraw-closure",
    ),
]
