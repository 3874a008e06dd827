"""Calculation pages."""

from django.urls import path

from findings.computing import views

app_name = "computing"

CASE = "cases/<uuid:case_id>/calculations/"
KEPT = f"{CASE}kept/<uuid:calculation_id>/"
urlpatterns = [
    path(CASE, views.calculations, name="calculations"),
    path(KEPT, views.kept, name="kept"),
    path(f"{KEPT}void/", views.void_calculation, name="void"),
    path(f"{CASE}<slug:method>/", views.method, name="method"),
    path("help/calculations/", views.documentation, name="docs"),
    path("help/calculations/<slug:method>/", views.method_documentation, name="doc"),
]
